from django.apps import AppConfig


class PaperConfig(AppConfig):
    name = "tanwright.yard.paper"
    label = "paper"
