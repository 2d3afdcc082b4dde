from django.apps import AppConfig


class MoneyConfig(AppConfig):
    name = "coop.money"
    label = "money"

    def ready(self) -> None:
        from coop.money import joining  # models are there only now
        from coop.money.notices import rounds
        from coop.money.queries import week

        joining.register()
        rounds.register()
        week.register()
