"""What must be looked after on a thing: said once, and done as it comes round."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

from coop.equipment.actions.locks import lock_thing
from coop.equipment.errors import NameTaken, Refused
from coop.equipment.models import Care, CareDone, Thing
from coop.equipment.notices.touched import one_act, touch_thing
from coop.equipment.queries.cares import care_for
from coop.equipment.rights import require_keep
from coop.people.changes import record_change
from coop.people.days import today_in
from coop.people.models import Coop, Member

#: More cares than any thing needs: a list to read, not a diary.
MOST_CARES = 20


@dataclass(frozen=True)
class Round:
    """What is to be done, after how many uses or months, and when it was last done, if known."""

    what: str
    every_uses: int | None = None
    every_months: int | None = None
    last_on: date | None = None


def add_care(thing_id: int, wish: Round, *, by: Member) -> Care:
    """Who keeps a thing says what to look after. Raises NotAllowed, NameTaken, Refused."""
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        what = wish.what.strip()
        _check(thing, what, wish)
        care = Care.objects.create(
            thing=thing, what=what, every_uses=wish.every_uses, every_months=wish.every_months
        )
        if wish.last_on:
            done_at = _end_of(wish.last_on, thing.coop)
            CareDone.objects.create(care=care, done_at=done_at, by=by)
        touch_thing(thing)
        record_change(thing, f"To look after: {what}.", coop=thing.coop, by=by)
        return care


def _check(thing: Thing, what: str, wish: Round) -> None:
    if not what:
        raise Refused("Say what is to be looked after.", field="what")
    if not wish.every_uses and not wish.every_months:
        raise Refused(
            "Say after how many uses it comes round, or after how many months.", field="every_uses"
        )
    if wish.last_on and wish.last_on > today_in(thing.coop, timezone.now()):
        raise Refused("That day is still to come.", field="last_on")
    if thing.cares.filter(what__iexact=what).exists():
        raise NameTaken(f"{thing} has {what} on its list already.", field="what")
    if thing.cares.count() >= MOST_CARES:
        raise Refused(f"A list of {MOST_CARES} is long enough: take one off first.")


def _end_of(day: date, coop: Coop) -> datetime:
    """The last second of a day by the co-op's clocks, or now where that is still to come.

    So what the thing was used for on that day counts as before.
    """
    next_day = datetime.combine(day + timedelta(days=1), time(), ZoneInfo(coop.time_zone))
    return min(next_day.astimezone(UTC) - timedelta(seconds=1), timezone.now())


def care_done(care_id: int, *, by: Member, note: str = "") -> CareDone:
    """Somebody looked after it, now: who keeps the thing, or any household that has it booked.

    Anybody in the co-op may write that down, since whoever has the thing does it. Pressed twice
    within the minute, it is done once.
    """
    with one_act():
        thing = lock_thing(by.coop, care_for(by, care_id).thing_id)
        care = care_for(by, care_id)
        now = timezone.now()
        again = care.done.filter(by=by, note=note.strip(), done_at__gt=now - timedelta(minutes=1))
        if done := again.first():
            return done
        done = CareDone.objects.create(care=care, note=note.strip(), by=by)
        touch_thing(thing)
        record_change(thing, f"Looked after: {care.what}. {note}".strip(), coop=thing.coop, by=by)
        return done


def drop_care(care_id: int, *, by: Member) -> Thing:
    """Who keeps a thing takes something off the list, with its history. Raises NotAllowed."""
    with one_act():
        thing = lock_thing(by.coop, care_for(by, care_id).thing_id)
        require_keep(by, thing)
        care = care_for(by, care_id)
        times = care.done.count()
        sentence = f"No longer to look after: {care.what}."
        record_change(
            thing,
            sentence,
            coop=thing.coop,
            by=by,
            before={
                "every_uses": care.every_uses,
                "every_months": care.every_months,
                "times_done": times,
            },
        )
        care.delete()
        touch_thing(thing)
        return thing
