from django.apps import AppConfig


class LiquorsConfig(AppConfig):
    name = "tanwright.yard.liquors"
    label = "liquors"
