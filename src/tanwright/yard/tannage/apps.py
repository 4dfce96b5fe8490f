from django.apps import AppConfig


class TannageConfig(AppConfig):
    name = "tanwright.yard.tannage"
    label = "tannage"
