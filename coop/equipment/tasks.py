"""What the clock does with equipment.

One thing or co-op that fails is logged, and stops none of the others.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from typing import TypeVar

from celery import shared_task
from django.utils import timezone

from coop.equipment.actions import sweep
from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.standby import end_passed
from coop.people.models import Coop

logger = logging.getLogger(__name__)
T = TypeVar("T")


@shared_task
def let_offers_lapse() -> int:
    """Let go of offers that ran out, and offer what is free to those in line; how many things.

    Safe to run at any time and twice: what was let go, or is offered, is not found again. So an
    opening that some act did not tell of waits for a minute at most.
    """
    now = timezone.now()

    def offer(thing_id: int) -> int:
        return sweep.offer_if_at_hand(thing_id, now)

    end_passed(now)
    done = _each(offer, sweep.things_with_old_offers(now))
    return done + _each(
        lambda coop: _each(offer, sweep.things_with_openings(coop, now)), sweep.coops_that_wait(now)
    )


@shared_task
def tell_who_waits_for_late_things() -> int:
    """Tell who has a thing next that it is not back yet, once each; how many were told.

    Safe to run at any time and twice.
    """
    now = timezone.now()
    return _each(lambda coop: tell_late(coop, now), Coop.objects.order_by("pk"))


def _each(act: Callable[[T], int], rows: Iterable[T]) -> int:
    """Act on each row; the sum of what came of it."""
    done = 0
    for row in rows:
        try:
            done += act(row)
        except Exception:
            logger.exception("%r was left for the next time", row)
    return done
