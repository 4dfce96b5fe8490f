from django.apps import AppConfig


class TodayConfig(AppConfig):
    name = "tanwright.yard.today"
    label = "today"
