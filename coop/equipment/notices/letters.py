"""What is told of bookings, in words: what to do first, then when, where, with what."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from django.urls import reverse

from coop.core import moments
from coop.core.figures import join_words
from coop.equipment.kinds import KINDS, ThingKind
from coop.equipment.models import Booking, Fault, Handover, Thing
from coop.equipment.notices import kinds
from coop.equipment.words import (
    booked_said,
    length_said,
    minutes_between,
    moment_said,
    name_of,
    part_said,
)
from coop.notices.says import Say
from coop.people.models import Household

#: What those can do who count on a thing that is out of order, and those who have it. The sentences
#: that tell of it end so.
CAN_DO = "Move it to another time, book another thing, or cancel it."
CAN_DO_WITH_IT = "Stop using it, and bring it back."


def offer(booking: Booking) -> Say:
    """A time in line that is the household's to take until `held_until`."""
    name, until = name_of(booking.thing), _by(booking, booking.held_until or booking.starts_at)
    return Say(
        key="offer",
        kind=kinds.OFFER.code,
        to=booking.household,
        at=booking.at,
        until=booking.held_until,
        title=f"{name} is yours if you take it by {until}",
        to_do=f"Take {name} or pass it on by {until}.",
        details=(_when(booking), *_facts(booking), "Then the next in line is asked."),
        where=where_of(booking.thing),
        path=_path("booking", booking),
        button="Take it or not",
    )


def starts(booking: Booking, stopping: Fault | None = None) -> Say:
    """The start of a booking, as long as it stands; `stopping`: why nobody may count on its thing.

    Once it is handed out, reading that it starts helps nobody; calendars have it still.
    """
    thing, at = booking.thing, _at(booking, booking.starts_at)
    name, is_place = name_of(thing), thing.kind == ThingKind.KITCHEN
    title = f"{name} is yours {booked_said(booking, booking.coop)}"
    to_do = f"{'Come to' if is_place else 'Fetch'} {name} on {at}."
    if stopping:
        title = f"{name} is out of order: booked from {at}"
        to_do = f"Do not count on {name}. It is out of order: {stopping.sentence}"
    out = [each.at for each in booking.handovers.all() if each.what == Handover.What.OUT]
    return Say(
        key="starts",
        kind=kinds.STARTS.code,
        to=booking.household,
        at=booking.starts_at,
        ends_at=booking.ends_at,
        until=out[0] if out else None,
        title=title,
        to_do=to_do,
        details=(*([CAN_DO] if stopping else []), _how_long(booking), *_facts(booking)),
        where=where_of(thing),
        path=_path("booking", booking),
        button="Your booking",
    )


def due(booking: Booking) -> Say:
    """When what is out should be back; what ends by itself, when it is done at the latest."""
    thing, at = booking.thing, _by(booking, booking.ends_at)
    name = name_of(thing)
    if KINDS[thing.kind].ends_by_itself:
        title, to_do = f"{name} is done by {at}", f"Be there when {name} is done, by {at}."
        details = (*_likely(booking), *_back_to(booking))
        page, button = "run", "How it runs"
    else:
        verb = "Leave" if thing.kind == ThingKind.KITCHEN else "Bring back"
        title, to_do = f"{name} is due back {_ends(booking)}", f"{verb} {name} by {at}."
        details = _back_to(booking)
        page, button = "hand_back", "It is back"
    return Say(
        key="due",
        kind=kinds.DUE.code,
        to=booking.household,
        at=booking.ends_at,
        title=title,
        to_do=to_do,
        details=details,
        where=where_of(thing),
        path=_path(page, booking),
        button=button,
    )


def late(booking: Booking) -> Say:
    """What is out and should be back by now."""
    name = name_of(booking.thing)
    return Say(
        key="late",
        kind=kinds.LATE.code,
        to=booking.household,
        at=booking.ends_at,
        title=f"{name} is late: it was due back {_ends(booking)}",
        to_do=f"Give {name} back now, and write down that it is back.",
        details=("Still in use? Keep it longer, where nobody has it next.", *_back_to(booking)),
        where=where_of(booking.thing),
        path=_path("booking", booking),
        button="Your booking",
    )


def where_of(thing: Thing) -> str:
    """Where a thing is when nobody has it: its home, else its owner."""
    return thing.home or (str(thing.owner) if thing.owner else "")


def _when(booking: Booking) -> str:
    """From when to when, for how long, and what for."""
    return f"When: {booked_said(booking, booking.coop)} ({_length(booking)}){_what_for(booking)}."


def _how_long(booking: Booking) -> str:
    """The same, below a title that says when."""
    return f"How long: {_length(booking)}{_what_for(booking)}."


def _length(booking: Booking) -> str:
    return length_said(minutes_between(booking.starts_at, booking.ends_at))


def _what_for(booking: Booking) -> str:
    return f", for {booking.purpose}" if booking.purpose else ""


def _facts(booking: Booking) -> tuple[str, ...]:
    """Where and whom to ask, what comes with it, and what its next user waits for."""
    parts = [part_said(part.count, part.name) for part in booking.thing.parts.all()]
    lines = [_where_and_whom(booking), f"With it: {join_words(parts)}." if parts else ""]
    if booking.turnaround_minutes:
        free_at = moment_said(booking.free_at, booking.coop)
        turnaround = length_said(booking.turnaround_minutes)
        lines.append(f"After use: {turnaround} until the next household can have it, {free_at}.")
    return tuple(filter(None, lines))


def _where_and_whom(booking: Booking) -> str:
    where = where_of(booking.thing)
    said = f"To be had at: {where}." if where else ""
    return f"{said} {_whom_to_ask(booking.thing, booking.household)}".strip()


def _likely(booking: Booking) -> tuple[str, ...]:
    """When what ends by itself is done, where that is before its end, which the title says."""
    at = booking.expected_at
    return (f"Likely done: {_at(booking, at)}.",) if at and at != booking.ends_at else ()


def _back_to(booking: Booking) -> tuple[str, ...]:
    where = where_of(booking.thing)
    said = f"To: {where}." if where else ""
    line = f"{said} {_whom_to_ask(booking.thing, booking.household)}".strip()
    return (line,) if line else ()


def _whom_to_ask(thing: Thing, household: Household) -> str:
    """Whoever keeps a thing; nobody for one's own."""
    if thing.owner is None:
        return "Ask the steward."
    if thing.owner == household:
        return ""
    phone = f", {thing.owner.phone}" if thing.owner.phone else ""
    return f"Ask {thing.owner}{phone}."


def _at(booking: Booking, moment: datetime) -> str:
    return moments.at(moment, ZoneInfo(booking.coop.time_zone))


def _by(booking: Booking, moment: datetime) -> str:
    return moments.by(moment, ZoneInfo(booking.coop.time_zone))


def _ends(booking: Booking) -> str:
    return moments.ends(booking.ends_at, ZoneInfo(booking.coop.time_zone))


def _path(page: str, booking: Booking) -> str:
    return reverse(f"equipment:{page}", args=[booking.coop.slug, booking.pk])
