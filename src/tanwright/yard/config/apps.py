from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "tanwright.yard.config"
    label = "config"

    def ready(self) -> None:
        from tanwright.yard.config.checks import register_all

        register_all()
