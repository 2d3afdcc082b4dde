from django.apps import AppConfig


class NoticesConfig(AppConfig):
    name = "coop.notices"
    label = "notices"

    def ready(self) -> None:
        from coop.notices import membership  # models are there only now
        from coop.notices.queries import week

        membership.register()
        week.register()
