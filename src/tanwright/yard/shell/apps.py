from django.apps import AppConfig


class ShellConfig(AppConfig):
    name = "tanwright.yard.shell"
    label = "shell"
