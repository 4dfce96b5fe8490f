from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "tanwright.yard.people"
    label = "people"
