from django.apps import AppConfig


class ShedConfig(AppConfig):
    name = "tanwright.yard.shed"
    label = "shed"
