"""What is wrong with a thing: found, and told to whoever has it booked."""

from __future__ import annotations

from django.utils import timezone

from coop.equipment.actions.telling import LONGEST_SENTENCE, tell
from coop.equipment.models import Booking, Fault, Handover, Thing, Told
from coop.equipment.queries.coming import coming_on
from coop.equipment.words import booked_said, name_of
from coop.people.changes import record_change
from coop.people.models import Household, Member

What, Stops = Fault.What, Fault.Stops
LONGEST_FAULT = Fault._meta.get_field("sentence").max_length or 0


def open_fault(
    thing: Thing,
    what: str,
    stops: str,
    sentence: str,
    *,
    by: Member,
    handover: Handover | None = None,
) -> Fault:
    """Write down what is wrong with a thing, inside the caller's transaction.

    The caller has locked the thing and knows that `by` may say so. When that puts the thing out of
    order, every household with a coming booking is told, once each. The same again, as of a button
    pressed twice, is the one that stands.
    """
    open_now = list(Fault.objects.filter(thing=thing, mended_at=None))
    sentence = sentence[:LONGEST_FAULT]
    for fault in open_now:
        if (fault.what, fault.stops, fault.sentence) == (what, stops, sentence):
            return fault
    fault = Fault.objects.create(
        thing=thing, handover=handover, what=what, stops=stops, sentence=sentence, by=by
    )
    out_of_order = fault.stops == Stops.BOOKINGS
    state = "Out of order" if out_of_order else "To see to"
    record_change(
        thing,
        f"{state}: {sentence}",
        coop=thing.coop,
        by=by,
        after={"fault": fault.pk, "what": what, "stops": stops},
    )
    # Nothing can have been booked since an earlier fault stopped it: those have all been told.
    if out_of_order and not any(each.stops == Stops.BOOKINGS for each in open_now):
        _tell_out_of_order(thing, sentence)
    return fault


def _tell_out_of_order(thing: Thing, why: str) -> None:
    for household, bookings in _by_household(thing).items():
        first, can_do = bookings[0], "Move it, book another thing, or cancel"
        if first.is_out_now:  # type: ignore[attr-defined]
            can_do = "Stop using it and bring it back"
        said = (
            f"{_bookings_said(bookings, thing)}. {can_do}; "
            "if it is mended before, you read it here."
        )
        head = f"{name_of(thing)} is out of order: "
        room = LONGEST_SENTENCE - len(head) - len(said) - 1
        tell(
            household,
            Told.What.OUT_OF_ORDER,
            thing,
            f"{head}{_cut(why, room)} {said}",
            booking=first,
        )


def _by_household(thing: Thing) -> dict[Household, list[Booking]]:
    found: dict[Household, list[Booking]] = {}
    for booking in coming_on(thing, timezone.now()):
        found.setdefault(booking.household, []).append(booking)
    return found


def _bookings_said(bookings: list[Booking], thing: Thing) -> str:
    first, more = bookings[0], len(bookings) - 1
    what = "The time offered to you" if first.held_until else "Your booking"
    others = f", and {more} more" if more else ""
    return f"{what}: {booked_said(first, thing.coop)}{others}"


def _cut(text: str, room: int) -> str:
    text = text.rstrip()
    whole = text if text.endswith((".", "!", "?")) else f"{text}."
    return whole if len(whole) <= room else f"{text[: room - 1].rstrip()}…"
