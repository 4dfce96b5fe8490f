from django.apps import AppConfig


class TodayConfig(AppConfig):
    name = "tanwright.yard.today"
    label = "today"

    def ready(self) -> None:
        from tanwright.yard.stock.wanting import ask_with
        from tanwright.yard.today.running_short import claims

        ask_with(claims)
