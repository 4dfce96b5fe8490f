from django.apps import AppConfig


class TannageConfig(AppConfig):
    name = "tanwright.yard.tannage"
    label = "tannage"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.tannage.entry_kinds import declare_kinds
        from tanwright.yard.tannage.folding import fold

        declare_kinds()
        fold_with("tannage", fold)
