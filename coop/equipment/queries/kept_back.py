"""What keeps a place in line from an offer: what its own household minds at that time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from coop.core.figures import join_words
from coop.core.spans import joined
from coop.equipment.models import Booking, Standby
from coop.equipment.queries.line import has_room
from coop.equipment.queries.own_time import is_attended, minded
from coop.equipment.words import booked_said, name_of
from coop.people.models import Household


@dataclass(frozen=True)
class KeptBack:
    """What a household minds in much of the window of its place; `stops_all`: in too much of it."""

    bookings: Sequence[Booking] = ()
    stops_all: bool = False

    @property
    def said(self) -> str:
        """It in words to the household; nothing where little of the window is taken."""
        if not self.bookings:
            return ""
        which = join_words(map(_minded_said, self.bookings))
        times, one = ("that time", "it") if len(self.bookings) == 1 else ("those times", "one")
        return (
            f"{which[0].upper()}{which[1:]}: nothing is offered for {times}. When you cancel or "
            f"move {one}, this is looked at again within a minute."
        )


def minded_by(household: Household, standbys: Iterable[Standby], now: datetime) -> list[Booking]:
    """What a household minds until the last of its places in line is over, soonest first.

    One query at the most; none where nothing it waits for wants somebody there.
    """
    until = [
        each.until_at
        for each in standbys
        if each.household_id == household.pk and is_attended(each.kind)
    ]
    if not until:
        return []
    found = minded([household.pk], (now, max(until))).select_related("coop", "thing")
    return list(found.order_by("starts_at", "id"))


def kept_back(standby: Standby, bookings: Iterable[Booking], now: datetime) -> KeptBack:
    """What of `minded_by` takes much of a place's window, or leaves no room in it. No query.

    Much is half of what is still to come of the window. Judgement, no source.
    """
    first, last = max(standby.from_at, now), standby.until_at
    within = [each for each in bookings if each.starts_at < last and each.ends_at > first]
    if not within or not is_attended(standby.kind) or not has_room(standby, [], now):
        return KeptBack()
    spans = joined((max(each.starts_at, first), min(each.ends_at, last)) for each in within)
    taken = sum((end - start for start, end in spans), timedelta())
    stops_all = not has_room(standby, spans, now)
    return KeptBack(within, stops_all) if stops_all or taken * 2 >= last - first else KeptBack()


def _minded_said(booking: Booking) -> str:
    said = booked_said(booking, booking.coop)
    if booking.held_until:
        return f"you are offered {name_of(booking.thing)}, {said}"
    return f"you have {name_of(booking.thing)} booked {said}"
