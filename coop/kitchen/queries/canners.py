"""Which canners a co-op has: those that it shares, and those that its last loads name."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from coop.core.gauges import Verdict, judge
from coop.equipment.kinds import Gauge, ThingKind
from coop.equipment.models import GaugeTest, Thing
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.equipment.queries.things import things_in
from coop.kitchen.models import Kitchen
from coop.kitchen.queries.lots import loads_of
from coop.people.models import Coop

#: Of these the names of canners are offered again.
RECENT_LOADS = 60
METHODS_OF_GAUGES = {Gauge.DIAL: "dial_gauge", Gauge.WEIGHTED: "weighted_gauge"}


@dataclass(frozen=True)
class Canner:
    """A canner as it is called, with where it last ran; `thing` and `fitness` if it is shared."""

    name: str
    method: str
    gauge_tested_on: date | None
    kitchen: Kitchen | None = None
    thing: Thing | None = None
    fitness: Fitness | None = None


def method_of(thing: Thing) -> str:
    """The method that a thing processes by; none for what is no canner, or says no gauge."""
    if thing.kind == ThingKind.WATER_BATH_CANNER:
        return "boiling_water"
    return METHODS_OF_GAUGES[Gauge(thing.gauge)] if thing.gauge else ""


def canners_in(coop: Coop, today: date) -> list[Canner]:
    """The canners of the newest loads, the last one first, then the other shared ones.

    Five queries.
    """
    shared = _shared(coop, today)
    names = {canner.thing.pk: name for name, canner in shared.items() if canner.thing}
    canners: dict[str, Canner] = {}
    for load in loads_of(coop)[:RECENT_LOADS]:
        # A shared one goes by the name that it has now.
        name = names.get(load.thing_id or 0, load.canner.lower())
        if name in shared:
            canners.setdefault(name, replace(shared[name], kitchen=load.kitchen))
        elif load.thing is None:
            canner = Canner(load.canner, load.method, load.gauge_tested_on, load.kitchen)
            canners.setdefault(name, canner)
    unused = {name: canner for name, canner in shared.items() if name not in canners}
    return [*canners.values(), *unused.values()]


def _shared(coop: Coop, today: date) -> dict[str, Canner]:
    """The shared canners of a co-op by name in small letters."""
    things = [thing for thing in things_in(coop) if method_of(thing)]
    fitness = fitness_in(things, today)
    found = {}
    for thing in things:
        fit = fitness[thing.pk]
        tested_on = fit.tested.tested_on if fit.tested else None
        canner = Canner(thing.name, method_of(thing), tested_on, None, thing, fit)
        found[thing.name.lower()] = canner
    return found


def shared_canner(coop: Coop, name: str, method: str) -> Thing | None:
    """The shared canner of a name, if it processes by a method. A retired one is none."""
    named = things_in(coop).filter(name__iexact=name.strip()).first()
    return named if named and method_of(named) == method else None


def tested_by(thing: Thing, day: date) -> date | None:
    """The day on which a thing's gauge was last found fit to use, as of a day.

    A test after which the gauge had to be replaced is none to rely on, and nor is one before it.
    """
    tests = GaugeTest.objects.filter(thing=thing, tested_on__lte=day)
    last = tests.order_by("-tested_on", "-pk").first()
    if last is None or judge(last.true_tenths, last.read_tenths).verdict == Verdict.REPLACE:
        return None
    return last.tested_on
