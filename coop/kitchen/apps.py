from django.apps import AppConfig


class KitchenConfig(AppConfig):
    name = "coop.kitchen"
    label = "kitchen"

    def ready(self) -> None:
        from coop.kitchen import notices  # models are there only now
        from coop.kitchen.queries import (
            jar_flows,
            week,
            week_plans,
            week_warnings,
        )

        jar_flows.register()
        week.register()
        week_plans.register()
        week_warnings.register()
        notices.register()
