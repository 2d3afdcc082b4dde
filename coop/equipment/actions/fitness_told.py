"""Telling those who count on a thing that it is out of order, or in order again."""

from __future__ import annotations

from datetime import datetime

from django.utils import timezone

from coop.equipment.actions.telling import LONGEST_SENTENCE, put_away, tell
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.notices.letters import CAN_DO, CAN_DO_WITH_IT
from coop.equipment.queries.coming import Coming, households_counting_on
from coop.equipment.words import booked_said, name_of


def tell_out_of_order(thing: Thing, why: str) -> None:
    """Tell each household that has the thing, or has it coming, why it is out of order."""
    for coming in households_counting_on(thing, timezone.now()):
        can_do = CAN_DO_WITH_IT if coming.is_out else CAN_DO
        _tell(coming, Told.What.OUT_OF_ORDER, why, can_do)


def tell_in_order(thing: Thing, now: datetime) -> None:
    """Tell each household that has the thing coming that it stands.

    That it was out of order is then no news any more: nobody need read it.
    """
    was_out = Told.objects.filter(thing=thing, what=Told.What.OUT_OF_ORDER, read_at=None)
    put_away(was_out, now)
    for coming in households_counting_on(thing, now):
        _tell(coming, Told.What.IN_ORDER, "", "It stands as it was.")


def _tell(coming: Coming, what: Told.What, why: str, can_do: str) -> None:
    """One sentence or two that fit, with the reason cut short rather than what can be done."""
    thing = coming.first.thing
    tail = f" {_bookings_said(coming)}. {can_do}"
    head = f"{name_of(thing)} is out of order: " if why else f"{name_of(thing)} is in order again."
    reason = _cut(why, LONGEST_SENTENCE - len(head) - len(tail)) if why else ""
    tell(coming.household, what, thing, f"{head}{reason}{tail}", booking=coming.first)


def _bookings_said(coming: Coming) -> str:
    first, more = coming.first, len(coming.bookings) - 1
    others = f", and {more} more" if more else ""
    return f"{_what_it_is(first, is_out=coming.is_out)} {booked_said(first, first.coop)}{others}"


def _what_it_is(booking: Booking, *, is_out: bool) -> str:
    if is_out:
        return "You have it,"
    return "A time is offered to you," if booking.held_until else "You have booked it,"


def _cut(text: str, room: int) -> str:
    text = text.rstrip()
    whole = text if text.endswith((".", "!", "?", ".”")) else f"{text}."
    return whole if len(whole) <= room else f"{text[: room - 1].rstrip()}…"
