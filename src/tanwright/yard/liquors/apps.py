from django.apps import AppConfig


class LiquorsConfig(AppConfig):
    name = "tanwright.yard.liquors"
    label = "liquors"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.liquors.entry_kinds import declare_kinds
        from tanwright.yard.liquors.folding import fold

        declare_kinds()
        fold_with("liquor", fold)
