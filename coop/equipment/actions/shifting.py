"""Those next in line are moved later when the one before them runs longer, and may say no."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from coop.core.shifts import Planned
from coop.equipment import rights
from coop.equipment.actions.changing import cancel, is_out
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.telling import lay_to_rest, tell
from coop.equipment.errors import TooLate
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.notices.touched import one_act, touch_bookings
from coop.equipment.queries.bookings import booking_for
from coop.equipment.words import booked_said, later_said, name_of
from coop.people.changes import record_change
from coop.people.models import Member

NO_TIME = "The new time does not suit."


@dataclass(frozen=True)
class Shift:
    """A booking and the time that it must move to."""

    booking: Booking
    to: Planned

    @property
    def said(self) -> str:
        """When it would begin: "Thu 13 Aug, 18:00 in place of 13:00 (5 h later)"."""
        return later_said(self.booking.starts_at, self.to.start, self.booking.coop)


def shift(thing: Thing, shifts: Sequence[Shift], *, by: Member, now: datetime) -> None:
    """Move bookings of a thing later, and tell their households, who may say no.

    The caller has locked the thing. An offer to somebody in line is not moved but let go: its
    place in line stays. The last one moves first, so that none ever meets another.
    """
    touch_bookings(each.booking for each in shifts)
    for each in reversed(shifts):
        if each.booking.held_until:
            _let_go(each.booking, thing, now)
        else:
            _move(each, thing, by=by, now=now)


def answer_shift(
    booking_id: int, *, suits: bool, by: Member, now: datetime | None = None
) -> Booking:
    """A household says whether the later time suits it. If not, the booking is let go.

    Whoever runs the thing is told of a no. Raises NotAllowed; TooLate where nothing is to answer.
    """
    now = now or timezone.now()
    with one_act():
        found = booking_for(by, booking_id)
        rights.require_change(by, found)
        lock_thing(by.coop, found.thing_id)
        booking = booking_for(by, booking_id)
        if not is_to_answer(booking):
            raise TooLate("There is nothing to answer any more.")
        booking.shift_answered_at = now
        booking.save(update_fields=["shift_answered_at"])
        if not suits:
            _tell_no(booking, now)
            cancel(booking_id, by=by, why=NO_TIME, now=now)
        else:
            said = f"The later time suits {booking.household}."
            record_change(booking, said, coop=booking.coop, by=by)
            lay_to_rest([booking], now, [Told.What.SHIFTED])
        return booking_for(by, booking_id)


def is_to_answer(booking: Booking) -> bool:
    """Whether its household has not yet said if the later time suits it."""
    asked = booking.shifted_at is not None and booking.shift_answered_at is None
    return asked and booking.cancelled_at is None and not is_out(booking)


def _move(each: Shift, thing: Thing, *, by: Member, now: datetime) -> None:
    booking, said = each.booking, each.said
    before = {"starts_at": booking.starts_at.isoformat(), "ends_at": booking.ends_at.isoformat()}
    if booking.expected_at:
        booking.expected_at += each.to.start - booking.starts_at
    if not is_to_answer(booking):  # moved twice before an answer, it still says where it was first
        booking.shifted_from = booking.starts_at
    booking.shifted_at, booking.shift_answered_at = now, None
    booking.starts_at, booking.ends_at, booking.free_at = each.to.start, each.to.end, each.to.free
    booking.save()
    record_change(
        booking,
        f"Begins {said}: the one before runs longer.",
        coop=thing.coop,
        by=by,
        before=before,
        after={"starts_at": each.to.start.isoformat(), "ends_at": each.to.end.isoformat()},
    )
    sentence = (
        f"{name_of(thing)} runs longer for the household before you: yours would begin {said}. Say "
        "whether that suits you."
    )
    tell(booking.household, Told.What.SHIFTED, thing, sentence, booking=booking)


def _let_go(offer: Booking, thing: Thing, now: datetime) -> None:
    offer.cancelled_at, offer.cancel_why = now, "The one before runs longer."
    offer.save(update_fields=["cancelled_at", "cancel_why"])
    record_change(offer, offer.cancel_why, coop=thing.coop, by=None)
    sentence = (
        f"{name_of(thing)}, offered to you for {booked_said(offer, thing.coop)}, runs longer for "
        "the household before. You are still in line."
    )
    tell(offer.household, Told.What.LAPSED, thing, sentence, booking=offer)


def _tell_no(booking: Booking, now: datetime) -> None:
    """Tell the household that has the thing now that the next one lets it go."""
    running = (
        Booking.objects.filter(thing=booking.thing, cancelled_at=None, starts_at__lte=now)
        .exclude(household=booking.household)
        .select_related("household")
        .order_by("-starts_at")
        .first()
    )
    if running is not None:
        sentence = (
            f"{booking.household} cannot take {name_of(booking.thing)} at the later time and lets "
            "it go: there is no hurry on their account."
        )
        tell(running.household, Told.What.REFUSED, booking.thing, sentence, booking=running)
