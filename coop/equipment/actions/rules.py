"""What must hold for a thing to be booked for a time. All of it asks with the thing locked."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import IntegrityError
from django.db.models import QuerySet

from coop.equipment.errors import NotFit, OutsideHours, Refused, Taken, TooLate, TooLong
from coop.equipment.kinds import CYCLE_EXPECTED_HOURS, KINDS
from coop.equipment.models import Booking, Fault, Thing
from coop.equipment.queries.free import hours_of, turnaround_of
from coop.equipment.queries.proposed import next_free
from coop.equipment.words import booked_said, hours_said, length_said, minutes_between, moment_said

Span = tuple[datetime, datetime]
#: Who stands at the thing and books it now types for some minutes. Judgement, no source.
MINUTES_PAST = timedelta(minutes=10)
#: Judgement, no source: what is later or longer is a year typed wrongly.
FURTHEST_AHEAD = timedelta(days=400)
MOST_MINUTES = 31 * 1440


def require_bookable(thing: Thing, span: Span, now: datetime) -> None:
    """Raise unless the rules of the thing let anybody have it then; whether it is free, they do
    not say.

    Raises Refused, TooLate (in the past), NotFit, TooLong, OutsideHours.
    """
    require_sense(span, now)
    require_fit(thing)
    require_short(thing, span)
    require_open(thing, span)


def require_sense(span: Span, now: datetime) -> None:
    """Raise Refused or TooLate where a span ends before it starts, is past, or years away."""
    start, end = span
    if end <= start:
        raise Refused("It ends before it starts. Choose a later end.", field="ends_at")
    if start < now - MINUTES_PAST:
        raise TooLate("That time has passed. Choose a later start.", field="starts_at")
    if start > now + FURTHEST_AHEAD:
        raise Refused("That is over a year away. Choose an earlier day.", field="starts_at")


def require_fit(thing: Thing) -> None:
    """Raise NotFit for a thing that is retired or out of order."""
    if thing.retired_at:
        raise NotFit(f"{thing} is no longer lent. Choose another thing.", field="thing")
    fault = Fault.objects.filter(thing=thing, stops=Fault.Stops.BOOKINGS, mended_at=None).first()
    if fault:
        raise NotFit(
            f"{thing} is out of order: {fault.sentence} It can be booked when it is mended.",
            field="thing",
        )


def require_short(thing: Thing, span: Span) -> None:
    """Raise TooLong where a thing is not lent for so long."""
    most = thing.longest_minutes or MOST_MINUTES
    minutes = minutes_between(*span)
    if minutes > most:
        raise TooLong(
            f"{thing} is lent for {length_said(most)} at the most, and this is "
            f"{length_said(minutes)}.",
            field="ends_at",
        )


def require_open(thing: Thing, span: Span) -> None:
    """Raise OutsideHours where a thing may not be out for some of a span."""
    if hours_of(thing, span) == [span]:
        return
    raise OutsideHours(
        f"{thing} may not be out for all of that time. Its hours: {hours_said(thing.hours.all())}.",
        field="starts_at",
    )


def require_free(
    thing: Thing, span: Span, turnaround: timedelta, *, besides: Collection[int] = ()
) -> None:
    """Raise Taken, with the next free times, where somebody has the thing in a span or is given
    it within the turnaround after; `besides` are keys of bookings that do not count.
    """
    other = standing_in(thing, (span[0], span[1] + turnaround)).exclude(pk__in=besides).first()
    if other is not None:
        raise taken_by(other, thing, span, besides=besides)


def standing_in(thing: Thing, span: Span) -> QuerySet[Booking]:
    """The bookings and offers of a thing that stand in a span, turnaround included."""
    return (
        Booking.objects.filter(
            thing=thing, cancelled_at=None, starts_at__lt=span[1], free_at__gt=span[0]
        )
        .select_related("household", "coop")
        .order_by("starts_at")
    )


def taken_by(other: Booking, thing: Thing, span: Span, *, besides: Collection[int] = ()) -> Taken:
    """The refusal that names who has a thing, and when it is free next for as long."""
    who = f"{other.household} has" if not other.held_until else "the next in line is offered"
    when = booked_said(other, thing.coop)
    return Taken(
        f"{thing} is taken: {who} it {when}.{_after_use(other, thing, span)}",
        thing=thing,
        free=next_free(thing, span[1] - span[0], span[0], besides=besides),
    )


def _after_use(other: Booking, thing: Thing, span: Span) -> str:
    """What a turnaround has to do with it that a booking stands in the way of a span."""
    if other.starts_at >= span[1]:
        needed = length_said(thing.turnaround_minutes)
        back_by = moment_said(other.starts_at - turnaround_of(thing), thing.coop)
        return f" It needs {needed} after use, so it would have to be back by {back_by}."
    if other.turnaround_minutes:
        needed = length_said(other.turnaround_minutes)
        free_at = moment_said(other.free_at, thing.coop)
        return f" It needs {needed} after use, so it is not free until {free_at}."
    return ""


def expected_end(thing: Thing, span: Span, expected_at: datetime | None) -> datetime | None:
    """When a thing that ends by itself is likely to be done: as said, else as its kind does.

    None for the other kinds. Raises Refused for a time outside the span.
    """
    if not KINDS[thing.kind].ends_by_itself:
        return None
    start, end = span
    if expected_at is None:
        return min(end, start + timedelta(hours=CYCLE_EXPECTED_HOURS))
    if not start < expected_at <= end:
        raise Refused(
            "It is expected to be done after its start, and by its latest end.",
            field="expected_at",
        )
    return expected_at


def refused_by_database(
    refusal: IntegrityError,
    thing: Thing,
    span: Span,
    *,
    to: datetime,
    besides: Collection[int] = (),
) -> Refused | None:
    """What the database's own rules of bookings say, as the named error; None for another rule.

    `to` is the end with its turnaround. The lock of the thing makes it rare: it is for whoever
    wrote without taking it.
    """
    if "booking_of_a_thing_in_order" in str(refusal):
        return NotFit(f"{thing} was put out of order just now.", field="thing")
    if "booking_overlaps" not in str(refusal):
        return None
    other = standing_in(thing, (span[0], to)).exclude(pk__in=besides).first()
    if other is not None:
        return taken_by(other, thing, span, besides=besides)
    free = next_free(thing, span[1] - span[0], span[0], besides=besides)
    return Taken(f"Somebody was first with {thing}.", thing=thing, free=free)
