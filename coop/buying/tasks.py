"""What the clock does in buying."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from coop.buying.actions.pickup import release_unfetched
from coop.buying.errors import Refused
from coop.buying.queries.shares import buys_past_pickup


@shared_task
def release_unfetched_shares() -> int:
    """Put shares that nobody fetched on the spare table, once the grace time is over.

    Safe to run at any time and as often as one likes: what is released is not found again.
    """
    now = timezone.now()
    released = 0
    for buy in buys_past_pickup(now):
        try:
            released += len(release_unfetched(buy, by=None, now=now))
        except Refused:  # squared up or stepped back since it was found: nothing to release
            continue
    return released
