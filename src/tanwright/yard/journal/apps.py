from django.apps import AppConfig


class JournalConfig(AppConfig):
    name = "tanwright.yard.journal"
    label = "journal"
