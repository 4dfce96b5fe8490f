from django.apps import AppConfig


class StockConfig(AppConfig):
    name = "tanwright.yard.stock"
    label = "stock"
