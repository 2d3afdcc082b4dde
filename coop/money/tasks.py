"""What the worker does for the books, each night."""

from __future__ import annotations

import logging

from celery import shared_task

from coop.money.actions import checks
from coop.people.models import Coop

log = logging.getLogger(__name__)


@shared_task
def check_books() -> int:
    """Check the books of every co-op; returns how many are not sound."""
    found = [checks.check_books(coop) for coop in Coop.objects.order_by("pk").iterator()]
    wrong = [check for check in found if not check.sound]
    for check in wrong:
        log.error("Books of co-op %s: %s", check.coop_id, check.finding)
    return len(wrong)
