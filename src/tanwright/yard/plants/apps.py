from django.apps import AppConfig


class PlantsConfig(AppConfig):
    name = "tanwright.yard.plants"
    label = "plants"
