from django.apps import AppConfig


class SkinsConfig(AppConfig):
    name = "tanwright.yard.skins"
    label = "skins"

    def ready(self) -> None:
        from tanwright.yard.journal.kinds import fold_with
        from tanwright.yard.skins.entry_kinds import declare_kinds
        from tanwright.yard.skins.folding import fold

        declare_kinds()
        fold_with("skin", fold)
