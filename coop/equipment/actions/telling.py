"""Telling a household something about its bookings.

Letters and This week say it from here on, in the transaction of the cause.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from coop.equipment.models import Booking, Handover, Thing, Told
from coop.equipment.notices.touched import one_act, touch_told
from coop.people.models import Household, Member
from coop.people.rights import require

#: What is said of a booking that stands, and is no news any more once it does not.
WHILE_IT_STANDS = (
    Told.What.OUT_OF_ORDER,
    Told.What.IN_ORDER,
    Told.What.SHIFTED,
    Told.What.LATE,
    Told.What.OFFERED,
)
LONGEST_SENTENCE = Told._meta.get_field("sentence").max_length or 0


def tell(
    household: Household,
    what: Told.What,
    thing: Thing,
    sentence: str,
    *,
    booking: Booking | None = None,
) -> Told:
    """Tell a household one sentence: it stands on This week until somebody of it has read it."""
    told = Told.objects.create(
        coop_id=thing.coop_id,
        household=household,
        what=what,
        thing=thing,
        booking=booking,
        sentence=sentence[:LONGEST_SENTENCE],
    )
    touch_told(told.coop_id, [told.pk])
    return told


def lay_to_rest(
    bookings: Iterable[Booking], now: datetime, whats: Iterable[Told.What] = WHILE_IT_STANDS
) -> None:
    """What was told of bookings that are cancelled, out or back need not be read any more.

    That a thing is out of order stays where the household has another booking of it coming: the
    same sentence tells of that one. Called in the transaction of the act, once it is done.
    """
    bookings = list(bookings)
    booking_ids = [booking.pk for booking in bookings]
    others = (
        Booking.objects.filter(
            thing=OuterRef("thing"),
            household=OuterRef("household"),
            cancelled_at=None,
            ends_at__gt=now,
        )
        .exclude(pk__in=booking_ids)
        .exclude(handovers__what=Handover.What.BACK)
    )
    kept_for_others = Q(
        what=Told.What.OUT_OF_ORDER,
        booking__cancelled_at__isnull=False,
        thing__in={booking.thing_id for booking in bookings},
        household__in={booking.household_id for booking in bookings},
    )
    stale = Told.objects.filter(
        Q(booking__in=booking_ids) | kept_for_others, what__in=list(whats), read_at=None
    )
    put_away(stale.exclude(Exists(others), what=Told.What.OUT_OF_ORDER), now)


def put_away(stale: QuerySet[Told], now: datetime) -> None:
    """Nobody need read these any more, nor be told of them."""
    coops = dict(stale.values_list("pk", "coop"))
    if coops:
        Told.objects.filter(pk__in=coops, read_at=None).update(read_at=now)
    for told_id, coop_id in coops.items():
        touch_told(coop_id, [told_id])


def read(told: Told, *, by: Member) -> None:
    """Somebody of the household has read it, for all of it. Twice does no harm.

    Raises NotAllowed for another household's.
    """
    require(told.household_id == by.household_id, "That was told to another household.")
    with one_act():
        Told.objects.filter(pk=told.pk, read_at=None).update(read_at=timezone.now(), read_by=by)
        touch_told(told.coop_id, [told.pk])
