from django.apps import AppConfig


class EquipmentConfig(AppConfig):
    name = "coop.equipment"
    label = "equipment"

    def ready(self) -> None:
        from coop.equipment import books, leaving  # models are there only now
        from coop.equipment.queries import week, week_deposits

        books.register()
        leaving.register()
        week.register()
        week_deposits.register()
