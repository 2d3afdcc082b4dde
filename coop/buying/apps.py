from django.apps import AppConfig


class BuyingConfig(AppConfig):
    name = "coop.buying"
    label = "buying"

    def ready(self) -> None:
        from coop.buying import leaving  # models are there only now
        from coop.buying.queries import squaring, week

        leaving.register()
        squaring.register()
        week.register()
