from pathlib import Path

from django.apps import AppConfig
from django.conf import settings

from tanwright.yard.exchange.swapping import finish_swap


class ExchangeConfig(AppConfig):
    name = "tanwright.yard.exchange"
    label = "exchange"

    def ready(self) -> None:
        # Nothing has opened the database yet: the moment to finish a restore that was cut off.
        finish_swap(Path(settings.YARD_FOLDER))
