"""Bookings as lists and as a page: those that come, those that are out, those that are over."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import Q, QuerySet

from coop.equipment.models import Booking, Fault, Handover
from coop.equipment.queries.bookings import handed, is_out, with_parties
from coop.people.changes import changes_of
from coop.people.models import Change, Coop, Household

#: Of what one act booked, so much is shown; a season's weeks of two things.
MOST_TOGETHER = 110
#: What a change says of a week that could not be had.
MISSED = "missed"


class State(StrEnum):
    """How a booking stands."""

    OFFERED = "offered"
    COMING = "coming"
    BEGUN = "begun"
    OUT = "out"
    LATE = "late"
    BACK = "back"
    UNUSED = "unused"
    CANCELLED = "cancelled"


#: States in which the household has yet to get the thing.
NOT_YET_OUT = (State.COMING, State.BEGUN)


@dataclass(frozen=True)
class Stands:
    """A booking and how it stands; `is_ours`: of the household that looks.

    `is_stopped`: it is to come, and its thing is out of order.
    """

    booking: Booking
    state: State
    is_ours: bool = False
    is_stopped: bool = False


def coming(coop: Coop, household: Household | None, now: datetime) -> QuerySet[Booking]:
    """What is not over: to come, begun, or out; of one household, or of all. Soonest first."""
    stand = Q(cancelled_at=None) & Q(ends_at__gt=now)
    return _of(coop, household).filter(stand | is_out()).order_by("starts_at", "id")


def past(coop: Coop, household: Household | None, now: datetime) -> QuerySet[Booking]:
    """What is over or cancelled; of one household, or of all. Latest first."""
    over = (Q(ends_at__lte=now) | Q(cancelled_at__isnull=False)) & ~is_out()
    return _of(coop, household).filter(over).order_by("-starts_at", "-id")


def _of(coop: Coop, household: Household | None) -> QuerySet[Booking]:
    bookings = Booking.objects.filter(coop=coop)
    if household is not None:
        bookings = bookings.filter(household=household)
    return with_parties(bookings).annotate(went_out=handed("out"), came_back=handed("back"))


def standing(bookings: Sequence[Booking], household: Household, now: datetime) -> list[Stands]:
    """How bookings of `coming` and `past` stand, their things in order or not. One query."""
    faults = Fault.objects.filter(
        thing__in={each.thing_id for each in bookings}, stops=Fault.Stops.BOOKINGS, mended_at=None
    )
    stopped = set(faults.values_list("thing_id", flat=True))
    return [_stands(each, household, now, stopped) for each in bookings]


def _stands(
    booking: Booking, household: Household, now: datetime, stopped: Collection[int]
) -> Stands:
    state = state_of(booking, now)
    return Stands(
        booking,
        state,
        is_ours=booking.household_id == household.pk,
        is_stopped=state in NOT_YET_OUT and booking.thing_id in stopped,
    )


def state_of(booking: Booking, now: datetime) -> State:
    """How a booking stands; its handovers prefetched, or annotated as the lists here have them."""
    went_out, came_back = _moves(booking)
    if came_back:
        return State.BACK
    if went_out:
        return State.LATE if booking.ends_at < now else State.OUT
    if booking.cancelled_at:
        return State.CANCELLED
    if booking.ends_at <= now:
        return State.UNUSED
    if booking.held_until:
        return State.OFFERED
    return State.BEGUN if booking.starts_at <= now else State.COMING


def _moves(booking: Booking) -> tuple[bool, bool]:
    if hasattr(booking, "went_out"):
        return booking.went_out, getattr(booking, "came_back", False)
    moves = {each.what for each in booking.handovers.all()}
    return Handover.What.OUT in moves, Handover.What.BACK in moves


def booked_with(booking: Booking) -> list[Booking]:
    """What the same act booked: other things, other weeks; those cancelled too. One query."""
    if booking.together is None:
        return []
    others = _of(booking.coop, booking.household).filter(together=booking.together)
    return list(others.exclude(pk=booking.pk).order_by("starts_at", "id")[:MOST_TOGETHER])


@dataclass(frozen=True)
class History:
    """What happened to a booking: the changes, newest first, and the weeks that failed with it."""

    changes: list[Change]
    missed: list[Change]


def history_of(booking: Booking) -> History:
    """The history of a booking. One query."""
    changes = list(changes_of(booking.coop, booking)[: MOST_TOGETHER * 2])
    missed = [each for each in changes if MISSED in each.after]
    return History([each for each in changes if MISSED not in each.after], missed[::-1])
