"""What the clock does with equipment."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.standby import end_passed
from coop.equipment.actions.sweep import offer_if_at_hand, things_to_look_at
from coop.people.models import Coop


@shared_task
def let_offers_lapse() -> int:
    """Let go of offers that ran out, and offer what is free to those in line; how many things.

    Safe to run at any time and twice: what was let go, or is offered, is not found again. So an
    opening that some act did not tell of waits for a minute at most.
    """
    now = timezone.now()
    end_passed(now)
    return sum(offer_if_at_hand(thing_id, now) for thing_id in things_to_look_at(now))


@shared_task
def tell_who_waits_for_late_things() -> int:
    """Tell who has a thing next that it is not back yet, once each; how many were told.

    Safe to run at any time and twice.
    """
    now = timezone.now()
    return sum(tell_late(coop, now) for coop in Coop.objects.order_by("pk").iterator())
