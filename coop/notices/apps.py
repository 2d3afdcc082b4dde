from django.apps import AppConfig


class NoticesConfig(AppConfig):
    name = "coop.notices"
    label = "notices"

    def ready(self) -> None:
        from coop.notices import membership  # models are there only now
        from coop.notices.actions import writing
        from coop.notices.calendar import private
        from coop.notices.queries import week, week_coordinator

        membership.register()
        week.register()
        week_coordinator.register()
        writing.register()
        private.register()
