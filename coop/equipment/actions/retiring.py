"""Taking a thing out of use for good, and bringing it back."""

from __future__ import annotations

from django.utils import timezone

from coop.core.figures import counted
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.telling import tell
from coop.equipment.actions.things import with_its_own_name
from coop.equipment.errors import Refused
from coop.equipment.models import Booking, Standby, Thing, Told
from coop.equipment.notices.touched import one_act, touch_thing
from coop.equipment.queries.coming import coming_on
from coop.equipment.queries.handovers import who_has_it
from coop.equipment.rights import require_keep
from coop.equipment.words import booked_said, name_of
from coop.people.changes import record_change
from coop.people.models import Member


class StillWanted(Refused):
    """The thing is out, or booked; `bookings` are those that stand in the way."""

    def __init__(self, sentence: str, bookings: list[Booking]) -> None:
        super().__init__(sentence)
        self.bookings = bookings


def retire(thing_id: int, *, by: Member) -> Thing:
    """Take a thing off the list; what was written about it stays. Twice does no harm.

    Places in line for it alone end, and their households are told. Raises NotAllowed, and
    StillWanted while it is out or booked.
    """
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        if thing.retired_at:
            return thing
        now = timezone.now()
        if bookings := coming_on(thing, now):
            raise StillWanted(_still_wanted(thing, bookings), bookings)
        thing.retired_at = now
        thing.save(update_fields=["retired_at"])
        touch_thing(thing)
        for standby in Standby.objects.filter(thing=thing, ended_at=None):
            standby.ended_at = now
            standby.save(update_fields=["ended_at"])
            sentence = (
                f"{name_of(thing)} is not lent any more, so your place in line for it has ended. "
                "Find a time on another thing."
            )
            tell(standby.household, Told.What.CHANGED, thing, sentence)
        record_change(thing, "Retired.", coop=by.coop, by=by)
        return thing


def bring_back(thing_id: int, *, by: Member) -> Thing:
    """Put a retired thing on the list again. Twice does no harm.

    Raises NotAllowed, and NameTaken where another has its name by now.
    """

    def change() -> Thing:
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        if thing.owner and thing.owner.left_at:
            raise Refused(f"{thing.owner} has left the co-op: say first whose it is now.")
        if thing.retired_at:
            thing.retired_at = None
            thing.save(update_fields=["retired_at"])
            touch_thing(thing)
            record_change(thing, "Brought back.", coop=by.coop, by=by)
        return thing

    return with_its_own_name(change)


def _still_wanted(thing: Thing, bookings: list[Booking]) -> str:
    if has := who_has_it(thing):
        return f"{thing} is with {has.household}. Have it back before you retire it."
    first = bookings[0]
    more = f", and {counted(len(bookings) - 1, 'more booking')}" if bookings[1:] else ""
    said = booked_said(first, thing.coop)
    return f"{first.household} has booked {thing} for {said}{more}. Have that cancelled first."
