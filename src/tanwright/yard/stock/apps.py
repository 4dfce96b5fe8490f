from django.apps import AppConfig


class StockConfig(AppConfig):
    name = "tanwright.yard.stock"
    label = "stock"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.stock.entry_kinds import declare_kinds
        from tanwright.yard.stock.folding import fold

        declare_kinds()
        fold_with("lot", fold)
