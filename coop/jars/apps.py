"""Jars: what each household has counted, what it can spare, and what is lent to whom."""

from django.apps import AppConfig


class JarsConfig(AppConfig):
    name = "coop.jars"
    label = "jars"

    def ready(self) -> None:
        from coop.jars import leaving, notices  # models are there only now
        from coop.jars.queries import week

        leaving.register()
        week.register()
        notices.register()
