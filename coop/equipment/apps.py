from django.apps import AppConfig


class EquipmentConfig(AppConfig):
    name = "coop.equipment"
    label = "equipment"

    def ready(self) -> None:
        from coop.equipment import books, leaving, notices  # models are there only now
        from coop.equipment.notices import circles
        from coop.equipment.queries import week, week_deposits

        books.register()
        circles.register()
        leaving.register()
        notices.register()
        week.register()
        week_deposits.register()
