"""The app that every page shares."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Loads what must be there in every process: the Celery application and the checks."""

    name = "coop.web"

    def ready(self) -> None:
        from coop import celery  # noqa: F401  (so that tasks find their broker)
        from coop.web import checks  # noqa: F401  (registers itself)
