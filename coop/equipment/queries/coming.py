"""Who is counting on a thing: households that have it now, or have it coming."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q, QuerySet

from coop.equipment.models import Booking, Thing
from coop.equipment.queries.bookings import handed, is_out, with_parties
from coop.people.models import Household


@dataclass
class Coming:
    """A household and its bookings of one thing that are not over, soonest first.

    `is_out`: the first of them is out.
    """

    household: Household
    is_out: bool = False
    bookings: list[Booking] = field(default_factory=list)

    @property
    def first(self) -> Booking:
        """The booking that it has the thing by, or will have it by first."""
        return self.bookings[0]


def coming_on(thing: Thing, now: datetime) -> list[Booking]:
    """The bookings of a thing that are out or not over, soonest first. One query.

    What has come back is over, and so is an offer that ran out.
    """
    return coming_on_any([thing], now)


def coming_on_any(things: Sequence[Thing], now: datetime) -> list[Booking]:
    """The same of several things. One query."""
    return list(_rows(things, now))


def households_counting_on(thing: Thing, now: datetime) -> list[Coming]:
    """The households that have a thing or have it coming, soonest first. One query."""
    found: dict[int, Coming] = {}
    for booking in _rows([thing], now).annotate(now_out=is_out()):
        fresh = Coming(booking.household, is_out=booking.now_out)
        found.setdefault(booking.household_id, fresh).bookings.append(booking)
    return list(found.values())


def _rows(things: Sequence[Thing], now: datetime) -> QuerySet[Booking]:
    return (
        with_parties(Booking.objects.filter(thing__in=things, cancelled_at=None))
        .filter(Q(ends_at__gt=now) | is_out())
        .exclude(handed("back"))
        .exclude(held_until__lte=now)
        .order_by("starts_at", "id")
    )
