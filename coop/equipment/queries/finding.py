"""Finding a time: the earliest in which a household could have any of the things that would do.

A fixed number of queries, each of them bounded by the window that is asked about, however many
bookings there have been or are to come.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import QuerySet, TextChoices

from coop.core.opening import DAY, Row, open_spans
from coop.core.proposals import common, longest, starts
from coop.core.spans import joined, without
from coop.equipment.models import Thing
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.equipment.queries.free import HORIZON, free_in
from coop.equipment.queries.jars_held import class_of
from coop.equipment.queries.own_time import hands_full, is_attended
from coop.equipment.queries.things import things_in
from coop.people.days import today_in
from coop.people.models import Coop, Household

Span = tuple[datetime, datetime]
_EVERY_DAY, _WEEKEND = range(7), (5, 6)
_SIX, _EIGHT, _FIVE, _TEN = 6 * 60, 8 * 60, 17 * 60, 22 * 60


class Hours(TextChoices):
    """At what hours, by the co-op's clocks: judgement, no source. Nobody fetches a canner at 3."""

    WAKING = "waking", "between 6:00 and 22:00"
    DAY = "day", "by day, 8:00 to 17:00"
    EVENING = "evening", "in the evening, 17:00 to 22:00"
    WEEKEND = "weekend", "on Saturday or Sunday, 6:00 to 22:00"
    ANY = "any", "at any hour of the day or night"

    @property
    def short(self) -> str:
        """The same in a word or two."""
        return _SHORT[self]


_SHORT = {
    Hours.WAKING: "6:00 to 22:00",
    Hours.DAY: "by day",
    Hours.EVENING: "evening",
    Hours.WEEKEND: "weekend",
    Hours.ANY: "night too",
}

_WEEKS: Mapping[str, list[Row]] = {
    Hours.WAKING: [(day, _SIX, _TEN) for day in _EVERY_DAY],
    Hours.DAY: [(day, _EIGHT, _FIVE) for day in _EVERY_DAY],
    Hours.EVENING: [(day, _FIVE, _TEN) for day in _EVERY_DAY],
    Hours.WEEKEND: [(day, _SIX, _TEN) for day in _WEEKEND],
}


@dataclass(frozen=True)
class Search:
    """What is looked for: so many minutes of any thing of a kind, within a window.

    `gauge` and `thing_id` leave the other things out, `quarts` canners that hold fewer quart jars.
    `even_if_busy`: also while the household minds something else that it has booked.
    """

    kind: str
    minutes: int
    window: Span
    gauge: str = ""
    thing_id: int | None = None
    hours: str = Hours.ANY
    quarts: int = 0
    even_if_busy: bool = False

    @property
    def length(self) -> timedelta:
        """How long."""
        return timedelta(minutes=self.minutes)


@dataclass(frozen=True)
class Slot:
    """A time in which a thing could be booked, and whether it is fit."""

    thing: Thing
    start: datetime
    end: datetime
    fitness: Fitness


@dataclass(frozen=True)
class Found:
    """What there is, the earliest first, and what is not offered and why.

    `longest_minutes` is the longest time free within what was asked; `may_clash`: some time was
    left out because the household minds something else.
    """

    slots: list[Slot] = field(default_factory=list)
    out_of_order: list[tuple[Thing, Fitness]] = field(default_factory=list)
    lent_shorter: list[Thing] = field(default_factory=list)
    class_unknown: list[Thing] = field(default_factory=list)
    longest_minutes: int = 0
    may_clash: bool = False


def find(household: Household, search: Search, now: datetime) -> list[Slot]:
    """The times in which a household could have what it looks for, the earliest first."""
    return look(household, search, now).slots


def look(household: Household, search: Search, now: datetime) -> Found:
    """The same, with what is not offered and why. Six queries at the most."""
    things = things_in(household.coop, search.kind)
    ground = ground_of(household, things, _from_now(search.window, now), now)
    return found_on(ground, search)


@dataclass(frozen=True)
class Ground:
    """What a search needs to know of some things in a window."""

    coop: Coop
    window: Span
    things: Sequence[Thing]
    free: Mapping[int, list[Span]]
    fitness: Mapping[int, Fitness]
    full: Sequence[Span]


def ground_of(household: Household, things: QuerySet[Thing], window: Span, now: datetime) -> Ground:
    """Things with their free times and fitness, and when the household has its hands full."""
    listed = list(things)
    if not listed or window[0] >= window[1]:
        return Ground(household.coop, window, [], {}, {}, [])
    full = hands_full([household.pk], window).get(household.pk, [])
    return Ground(
        household.coop,
        window,
        listed,
        free_in(listed, window),
        fitness_in(listed, today_in(household.coop, now)),
        joined(full),
    )


def found_on(ground: Ground, search: Search) -> Found:
    """What a search finds on its ground. No query."""
    asked, unknown = _asked_for(ground.things, search)
    stopped = [each for each in asked if ground.fitness[each.pk].is_out_of_order]
    fit = [each for each in asked if each not in stopped]
    shorter = [each for each in fit if _is_lent_shorter(each, search.minutes)]
    clashes = [] if search.even_if_busy or not is_attended(search.kind) else list(ground.full)
    free = {each.pk: without(ground.free[each.pk], clashes) for each in fit}
    parts = parts_of(search.hours, ground.coop, ground.window)
    slots = [
        Slot(thing, start, start + search.length, ground.fitness[thing.pk])
        for thing in fit
        if thing not in shorter
        for start in starts(free[thing.pk], search.length, parts)
    ]
    return Found(
        sorted(slots, key=lambda slot: (slot.start, slot.thing.name.lower(), slot.thing.pk)),
        [(each, ground.fitness[each.pk]) for each in stopped],
        shorter,
        unknown,
        max((_longest_minutes(each, free[each.pk], parts) for each in fit), default=0),
        may_clash=bool(clashes),
    )


def parts_of(hours: str, coop: Coop, window: Span) -> list[Span] | None:
    """When some hours by the co-op's clocks are, of every day of a window; None for any hour.

    Those of its first and last day are whole, though the window cuts them: what is too long for
    the rest of an evening must not seem too long for any.
    """
    week = _WEEKS.get(hours)
    days = window[0] - DAY, window[1] + DAY
    return open_spans(week, ZoneInfo(coop.time_zone), days) if week else None


def earliest(found: Found) -> Slot | None:
    """The first of what was found."""
    return found.slots[0] if found.slots else None


def quarts_of(thing: Thing) -> int | None:
    """How many quart jars a load of a canner holds by its class, at the least; None if unknown."""
    of_class = class_of(thing)
    held = [each.low for each in of_class.held if each.jar == "quart"] if of_class else []
    return min(held, default=None)


def _from_now(window: Span, now: datetime) -> Span:
    """The part of a window that is still to come, up to the horizon."""
    return max(window[0], now), min(window[1], max(window[0], now) + HORIZON)


def _asked_for(things: Iterable[Thing], search: Search) -> tuple[list[Thing], list[Thing]]:
    """The things that would do, and those of which nobody said how many jars they hold."""
    asked, unknown = [], []
    for thing in _named(things, search):
        quarts = quarts_of(thing) if search.quarts else search.quarts
        if quarts is None:
            unknown.append(thing)
        elif quarts >= search.quarts:
            asked.append(thing)
    return asked, unknown


def _named(things: Iterable[Thing], search: Search) -> Iterator[Thing]:
    """The things of the kind with the gauge, or the one thing."""
    for thing in things:
        is_it = search.thing_id is None or thing.pk == search.thing_id
        if is_it and thing.kind == search.kind and search.gauge in ("", thing.gauge):
            yield thing


def _is_lent_shorter(thing: Thing, minutes: int) -> bool:
    return thing.longest_minutes is not None and thing.longest_minutes < minutes


def _longest_minutes(thing: Thing, free: Sequence[Span], parts: Sequence[Span] | None) -> int:
    """The longest loan of a thing that its free time in some parts has room for."""
    minutes = longest(free if parts is None else common(free, parts)) // timedelta(minutes=1)
    return min(minutes, thing.longest_minutes or minutes)
