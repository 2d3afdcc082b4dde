"""Who is counting on a thing: bookings that have it now, or are still to come."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Q, QuerySet

from coop.equipment.models import Booking, Thing
from coop.equipment.queries.bookings import handed, is_out


def coming_on(thing: Thing, now: datetime) -> QuerySet[Booking]:
    """Bookings of a thing that are out or not over, soonest first, with their households.

    Each says `is_out_now`. What has come back is over, and so is an offer that ran out. One query.
    """
    return (
        Booking.objects.filter(thing=thing, cancelled_at=None)
        .annotate(is_out_now=is_out())
        .exclude(handed("back"))
        .filter(Q(ends_at__gt=now) | Q(is_out_now=True))
        .exclude(held_until__lte=now)
        .select_related("household")
        .order_by("starts_at", "id")
    )
