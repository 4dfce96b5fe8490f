from django.apps import AppConfig


class TrialsConfig(AppConfig):
    name = "tanwright.yard.trials"
    label = "trials"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.trials.entry_kinds import declare_kinds
        from tanwright.yard.trials.folding import fold

        declare_kinds()
        fold_with("trial", fold)
