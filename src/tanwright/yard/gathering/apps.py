from django.apps import AppConfig


class GatheringConfig(AppConfig):
    name = "tanwright.yard.gathering"
    label = "gathering"

    def ready(self) -> None:
        from tanwright.yard.gathering.entry_kinds import declare_kinds
        from tanwright.yard.gathering.folding import fold
        from tanwright.yard.journal.kinds import fold_with

        declare_kinds()
        fold_with("place", fold)
