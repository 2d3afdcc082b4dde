from django.apps import AppConfig


class BuyingConfig(AppConfig):
    name = "coop.buying"
    label = "buying"

    def ready(self) -> None:
        from coop.buying import leaving  # models are there only now
        from coop.buying.notices import buys, circles
        from coop.buying.queries import squaring, week

        buys.register()
        circles.register()
        leaving.register()
        squaring.register()
        week.register()
