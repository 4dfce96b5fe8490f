from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "tanwright.yard.exchange"
    label = "exchange"
