from django.apps import AppConfig


class LeatherConfig(AppConfig):
    name = "tanwright.yard.leather"
    label = "leather"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.leather.entry_kinds import declare_kinds
        from tanwright.yard.leather.folding import fold

        declare_kinds()
        fold_with("leather", fold)
