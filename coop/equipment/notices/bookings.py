"""What a booking has to tell: an offer to take, its start, when the thing is due back, and late."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from django.db import transaction
from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from coop.equipment.actions.locks import lock_thing
from coop.equipment.models import Booking, Fault, Handover
from coop.equipment.notices import kinds, letters
from coop.equipment.notices.standing import causes_of, standing
from coop.equipment.queries.bookings import is_out, with_parties
from coop.notices.actions.keeping import Kept, keep_many
from coop.notices.says import Say
from coop.people.models import Coop

CAUSE = "booking"


def says_of(booking: Booking) -> list[Say]:
    """What there is to tell of a booking, read with its parties, its handovers, its parts and what
    stops its thing from being booked.

    An offer to a place in line is one of these: whatever changes it holds the lock of its thing.
    Only what is out is due back, so nobody is told of that before a short booking has begun. The
    start stays for as long as the booking stands, for calendars.
    """
    if booking.cancelled_at:
        return []
    if booking.held_until:
        return [letters.offer(booking)]
    moves = {each.what for each in booking.handovers.all()}
    if Handover.What.OUT not in moves:
        return [letters.starts(booking, next(iter(booking.thing.faults.all()), None))]
    if Handover.What.BACK not in moves:
        return [letters.starts(booking), letters.due(booking), letters.late(booking)]
    return [letters.starts(booking)]


def renew(pk: int) -> Kept:
    """Lock the thing of a booking, as acts do, and keep what there is to tell of the booking."""
    with transaction.atomic():
        found = Booking.objects.select_related("coop").get(pk=pk)
        lock_thing(found.coop, found.thing_id)
        return keep_many(found.coop, says_by_cause([pk]))


def says_by_cause(pks: Collection[int]) -> dict[str, list[Say]]:
    """What there is to tell of bookings, by what names each cause. Four queries at most."""
    return {f"{CAUSE}:{booking.pk}": says_of(booking) for booking in _read(pks)}


def live(coop: Coop) -> list[int]:
    """The bookings that have something to tell, or that something is told of."""
    now = timezone.now()
    told = standing(coop, CAUSE).exclude(kind=kinds.STARTS.code, at__lte=now)
    coming = _not_over().filter(coop=coop).values_list("pk", flat=True)
    return sorted(causes_of(told).union(coming))


def not_over(thing_ids: Collection[int]) -> set[int]:
    """The bookings and offers of things that stand and are not over. One query."""
    return set(_not_over().filter(thing__in=thing_ids).values_list("pk", flat=True))


def _not_over() -> QuerySet[Booking]:
    return Booking.objects.filter(Q(ends_at__gt=timezone.now()) | is_out(), cancelled_at=None)


def _read(pks: Collection[int]) -> Iterator[Booking]:
    if not pks:
        return iter(())
    rows = with_parties(Booking.objects.filter(pk__in=pks)).order_by("pk")
    open_faults = Fault.objects.filter(mended_at=None, stops=Fault.Stops.BOOKINGS).order_by(
        "at", "id"
    )
    faults = Prefetch("thing__faults", open_faults)
    return iter(rows.prefetch_related("handovers", "thing__parts", faults))
