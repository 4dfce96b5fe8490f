from django.apps import AppConfig


class SkinsConfig(AppConfig):
    name = "tanwright.yard.skins"
    label = "skins"
