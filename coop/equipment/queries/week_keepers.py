"""What waits this week for who keeps things: stewards for all of them, owners for their own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from coop.core.figures import join_words
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.fit import Overview, overview_of
from coop.equipment.queries.handovers import late_now
from coop.people import week
from coop.people.days import today_in
from coop.people.models import Member

#: More names than this make a line of a list nobody reads.
MOST_NAMES = 3


@dataclass(frozen=True)
class Kept:
    """What waits for a member, whether as a steward, and how many things the co-op shares."""

    dues: list[week.Due] = field(default_factory=list)
    as_steward: bool = False
    shared: int = 0


@dataclass(frozen=True)
class Some:
    """Things that one line tells of: how many, the first few of them, how many more."""

    count: int
    names: list[str]

    @property
    def said(self) -> str:
        """The names, and how many more."""
        more = self.count - len(self.names)
        return join_words([*self.names, f"{more} more"] if more else self.names)


def kept_by(member: Member, now: datetime) -> Kept:
    """What waits for whoever keeps things. Six queries at most.

    A coordinator stands in for a steward only where the co-op has none.
    """
    shared = list(member.coop.things.filter(retired_at=None).select_related("owner"))
    if not shared:
        return Kept()
    as_steward = _acts_as_steward(member)
    own = [each for each in shared if each.owner_id == member.household_id]
    things = shared if as_steward else own
    if not things:
        return Kept(shared=len(shared))
    overview = overview_of(things, today_in(member.coop, now))
    dues = [*_late(member, things, now), *_faults(overview), *_tests(overview), *_cares(overview)]
    return Kept(dues, as_steward, len(shared))


def _acts_as_steward(member: Member) -> bool:
    if member.steward or not member.coordinator:
        return member.steward
    return not member.coop.members.filter(steward=True, left_at=None).exists()


def _late(member: Member, things: Sequence[Thing], now: datetime) -> list[week.Due]:
    keys = {thing.pk for thing in things}
    late = [
        each
        for each in late_now(member.coop, now)
        if each.thing_id in keys and each.household_id != member.household_id
    ]
    return [week.Due("equipment/week/late.html", _late_said(late))] if late else []


@dataclass(frozen=True)
class Late:
    """What should be back: the longest due, and how many more."""

    first: Booking
    more: int


def _late_said(late: Sequence[Booking]) -> Late:
    return Late(late[0], len(late) - 1)


def _faults(overview: Overview) -> list[week.Due]:
    stopped = _some(line.thing.name for line in overview.out_of_order)
    to_see_to = _some(line.thing.name for line in overview.to_see_to)
    if not stopped.count and not to_see_to.count:
        return []
    return [week.Due("equipment/week/faults.html", {"stopped": stopped, "to_see_to": to_see_to})]


def _tests(overview: Overview) -> list[week.Due]:
    before_use = overview.tests_before_use
    over = _some(line.thing.name for line in [*before_use, *overview.tests_out_of_date])
    soon = _some(line.thing.name for line in overview.tests_due_soon)
    if not over.count and not soon.count:
        return []
    about = {"over": over, "soon": soon, "before_use": bool(before_use)}
    return [week.Due("equipment/week/gauges.html", about, place=0 if over.count else week.Due.LAST)]


def _cares(overview: Overview) -> list[week.Due]:
    due = _some(f"{state.care.what} of {state.care.thing}" for state in overview.cares_due)
    return [week.Due("equipment/week/cares.html", due, place=week.Due.LAST)] if due.count else []


def _some(names: Iterable[str]) -> Some:
    listed = list(names)
    return Some(len(listed), listed[:MOST_NAMES])
