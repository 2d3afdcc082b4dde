"""Background work of people."""

from celery import shared_task
from django.core.management import call_command


@shared_task(name="coop.people.tasks.drop_expired_sessions")
def drop_expired_sessions() -> None:
    """Delete the sessions that have run out; may be run at any time, and twice."""
    call_command("clearsessions")
