from django.apps import AppConfig


class SearchConfig(AppConfig):
    name = "tanwright.yard.search"
    label = "search"
