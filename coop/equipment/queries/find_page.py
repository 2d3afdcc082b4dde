"""What the page of finding a time shows beside the times: by day, by kind, and what is nearest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from coop.equipment.kinds import CYCLE_LATEST_HOURS, ThingKind
from coop.equipment.models import Thing
from coop.equipment.queries.finding import (
    Found,
    Hours,
    Search,
    Slot,
    Span,
    earliest,
    found_on,
    ground_of,
    look,
)
from coop.equipment.queries.free import HORIZON
from coop.equipment.queries.things import things_in
from coop.people.models import Coop, Household

#: How long a kind is usually booked: proposals to begin with. Judgement, no source; a canner has
#: two loads in three hours (55 to 100 minutes each: canner_rules, total_load_minutes).
USUAL_MINUTES: dict[str, int] = {
    ThingKind.PRESSURE_CANNER: 180,
    ThingKind.WATER_BATH_CANNER: 180,
    ThingKind.DEHYDRATOR: 720,
    ThingKind.FREEZE_DRYER: CYCLE_LATEST_HOURS * 60,
    ThingKind.VACUUM_SEALER: 120,
    ThingKind.PEELER: 180,
    ThingKind.MILL: 180,
    ThingKind.BURNER: 180,
    ThingKind.SCALE: 120,
    ThingKind.KITCHEN: 240,
    ThingKind.OTHER: 180,
}
WEEK = timedelta(days=7)
#: What a page shows of one day where there are more days, and of a day alone.
MOST_A_DAY, MOST_OF_ONE_DAY = 3, 40
#: Shorter times are not proposed. Judgement, no source.
SHORTEST_WORTH_WHILE = 30


@dataclass(frozen=True)
class Day:
    """The times of one day by the co-op's clocks: as many as the page has room for.

    `window` is what a search for all times of the day asks for; `best` the first time on the page
    of a thing whose gauge can be counted on, whichever day it is on: what the page recommends.
    """

    day: date
    slots: list[Slot]
    left_out: int
    window: Span
    best: Slot | None


@dataclass(frozen=True)
class OfKind:
    """A kind of thing that the co-op has, and when one could first be had for as long as usual.

    `stopped` are its things where all of them are out of order: no other time would help. `best`
    is the first time of all kinds of a thing whose gauge can be counted on.
    """

    kind: str
    minutes: int
    count: int
    slot: Slot | None
    stopped: list[Thing]
    best: Slot | None = None


@dataclass(frozen=True)
class Nearest:
    """What comes near to a search that found nothing.

    `later` is the first time after the window; `looser` the first within it where gauge, jars,
    hours of the day, the named thing and other bookings do not matter; `shorter_minutes` the
    longest that is free, 0 for nothing worth while. Another kind of thing is never proposed: what
    is canned decides which canner it needs.
    """

    later: Slot | None
    looser: Slot | None
    shorter_minutes: int


def by_day(slots: Sequence[Slot], coop: Coop, window: Span) -> list[Day]:
    """Times of a window in order, by the day on which they start."""
    zone = ZoneInfo(coop.time_zone)
    days = [
        (day, list(of_day))
        for day, of_day in groupby(slots, key=lambda slot: slot.start.astimezone(zone).date())
    ]
    most = MOST_OF_ONE_DAY if len(days) == 1 else MOST_A_DAY
    best = best_of(slot for _, own in days for slot in own[:most])
    return [
        Day(day, own[:most], len(own[most:]), _all_of(day, own, zone, window), best)
        for day, own in days
    ]


def best_of(slots: Iterable[Slot]) -> Slot | None:
    """The first time of a thing that has no dial gauge, or one whose test holds; None without."""
    fit = (slot for slot in slots if not slot.fitness.has_dial or slot.fitness.test_holds)
    return next(fit, None)


def _all_of(day: date, slots: Sequence[Slot], zone: ZoneInfo, window: Span) -> Span:
    """The part of a window in which all times of a day lie, of which some end on a later day."""
    first, last = (datetime.combine(each, time(), zone) for each in (day, day + timedelta(days=1)))
    return max(first, window[0]), min(max(last, slots[-1].end), window[1])


def kinds_of(household: Household, now: datetime, hours: str = Hours.WAKING) -> list[OfKind]:
    """Every kind of thing that the co-op has, with the earliest time within the coming week.

    Six queries, whatever the number of things and bookings.
    """
    window = now, now + WEEK
    ground = ground_of(household, things_in(household.coop), window, now)
    found = []
    for kind in ThingKind.values:
        own = [thing for thing in ground.things if thing.kind == kind]
        if own:
            minutes = usual_minutes(kind, own)
            search = Search(kind, minutes, window, hours=hours)
            there = found_on(ground, search)
            stopped = [thing for thing, _ in there.out_of_order]
            all_stopped = stopped if len(stopped) == len(own) else []
            found.append(OfKind(kind, minutes, len(own), earliest(there), all_stopped))
    best = best_of(each.slot for each in found if each.slot)
    return [replace(each, best=best) for each in found]


def kinds_in(coop: Coop) -> list[str]:
    """The kinds of things that the co-op has, in the order that a list shows them. One query."""
    there = set(coop.things.filter(retired_at=None).values_list("kind", flat=True))
    return [kind for kind in ThingKind.values if kind in there]


def usual_minutes(kind: str, things: Sequence[Thing]) -> int:
    """How long a kind is usually booked; less where none of the things is lent for so long."""
    usual = USUAL_MINUTES[kind]
    lent = [each.longest_minutes or usual for each in things]
    return min(usual, max(lent, default=usual))


def nearest(household: Household, search: Search, found: Found, now: datetime) -> Nearest:
    """What comes near to a search that found nothing: two more looks at the most."""
    first, last = search.window
    later = look(household, replace(search, window=(first, max(first, now) + HORIZON)), now)
    loose = Search(search.kind, search.minutes, (first, last), even_if_busy=True)
    looser = None if loose == search else earliest(look(household, loose, now))
    enough = found.longest_minutes >= SHORTEST_WORTH_WHILE
    return Nearest(earliest(later), looser, found.longest_minutes if enough else 0)


def doubtful(slots: Sequence[Slot]) -> list[Slot]:
    """Of each thing whose gauge test is out of date the first time: its warning is said once."""
    first: dict[int, Slot] = {}
    for slot in slots:
        if slot.fitness.gauge_is_out_of_date:
            first.setdefault(slot.thing.pk, slot)
    return list(first.values())
