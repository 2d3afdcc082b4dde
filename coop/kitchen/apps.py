from django.apps import AppConfig


class KitchenConfig(AppConfig):
    name = "coop.kitchen"
    label = "kitchen"

    def ready(self) -> None:
        from coop.kitchen.queries import week, week_plans, week_warnings  # models are there now

        week.register()
        week_plans.register()
        week_warnings.register()
