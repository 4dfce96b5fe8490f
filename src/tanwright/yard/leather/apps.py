from django.apps import AppConfig


class LeatherConfig(AppConfig):
    name = "tanwright.yard.leather"
    label = "leather"
