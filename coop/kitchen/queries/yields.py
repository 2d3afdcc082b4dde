"""What the co-op's own batches gave, beside what is published. Never used for minutes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from coop.buying.models import Farm
from coop.core.preserving import (
    NoPublishedYield,
    jars_of,
    plan_freezing,
)
from coop.core.tables import freezing_rows, yield_rows
from coop.kitchen.models import Outcome, Way
from coop.kitchen.queries.figures import pounds
from coop.people.models import Coop

#: Where no container is published, jars are told of so many pounds.
ROUND_LB = Fraction(10)
BATCH = "recipe_batch"


@dataclass(frozen=True)
class Thing:
    """What yields are compared of: one produce, one product or form, one jar."""

    produce: str
    way: str
    product: str
    jar: str


@dataclass(frozen=True)
class Basis:
    """The weight that jars are told of, and its name: "a bushel of 35 lb"."""

    pounds: Fraction
    said: str


@dataclass(frozen=True)
class Published:
    """Jars of one basis as the tables have them, with the keys of the sources."""

    low: int
    high: int
    source: tuple[str, ...]


@dataclass(frozen=True)
class OwnYield:
    """Our batches of one thing, from one farm or (farm None) from all: jars of one basis.

    Of what is dried, pounds of dried food in place of jars. `published` is None where nothing is.
    """

    thing: Thing
    farm: Farm | None
    batches: int
    least: Fraction
    middle: Fraction
    most: Fraction
    basis: Basis
    published: Published | None

    def of(self, weight: Fraction) -> tuple[int, int]:
        """The fewest and the most jars that a weight in pounds would give at that rate."""
        part = weight / self.basis.pounds
        return int(self.least * part), int(self.most * part)


def yields_in(coop: Coop, produce: str = "", farm: int | None = None) -> list[OwnYield]:
    """Our yields: for each thing all farms together, then farm by farm. One query.

    `produce` (a key) and `farm` (an id) narrow them down.
    """
    outcomes = Outcome.objects.filter(use__plan__coop=coop).select_related("use__plan__farm")
    if produce:
        outcomes = outcomes.filter(use__plan__produce=produce)
    if farm is not None:
        outcomes = outcomes.filter(use__plan__farm=farm)
    return yields_of(outcomes)


def yields_of(outcomes: Iterable[Outcome]) -> list[OwnYield]:
    """Yields of outcomes that were fetched with their use, plan and farm."""
    by_thing: defaultdict[Thing, list[Outcome]] = defaultdict(list)
    for outcome in outcomes:
        if _came_of(outcome):
            by_thing[_thing(outcome)].append(outcome)
    found = []
    for thing in sorted(by_thing, key=lambda each: tuple(vars(each).values())):
        batches = by_thing[thing]
        found.append(_yield(thing, None, batches))
        farms = {each.use.plan.farm for each in batches if each.use.plan.farm}
        found.extend(
            _yield(thing, farm, [each for each in batches if each.use.plan.farm == farm])
            for farm in sorted(farms, key=str)
        )
    return found


def own_yield(yields: Sequence[OwnYield], thing: Thing, farm: Farm | None) -> OwnYield | None:
    """Of a thing, what that farm's produce gave where there is any, else all farms together."""
    of_thing = {each.farm: each for each in yields if each.thing == thing}
    return of_thing.get(farm) or of_thing.get(None)


def basis_of(thing: Thing) -> Basis:
    """The container that the tables tell yields of, else ten pounds."""
    rows = freezing_rows() if thing.way == Way.FREEZE else yield_rows()
    for row in rows:
        named = row.form if hasattr(row, "form") else row.product
        if (row.produce, named) == (thing.produce, thing.product) and row.container_lb:
            name = "batch" if row.container == BATCH else row.container.replace("_", " ")
            return Basis(row.container_lb, f"a {name} of {float(row.container_lb):g} lb")
    return Basis(ROUND_LB, f"{ROUND_LB} lb")


def published_of(thing: Thing, basis: Basis) -> Published | None:
    """What the tables say of one basis; None where they say nothing, and of what is dried."""
    try:
        if thing.way == Way.CAN:
            jars = jars_of(thing.produce, thing.product, basis.pounds, thing.jar)
            return Published(jars.low, jars.high, jars.source)
        if thing.way == Way.FREEZE:
            frozen = plan_freezing(thing.produce, thing.product, basis.pounds, thing.jar)
            return Published(frozen.containers_low, frozen.containers_high, frozen.source)
    except NoPublishedYield:
        pass
    return None


def _came_of(outcome: Outcome) -> Fraction:
    """Jars, or pounds of dried food; 0 where nothing was kept or it was not weighed."""
    if outcome.use.way == Way.DRY:
        return pounds(outcome.dried_tenths or 0)
    return Fraction(outcome.jars)


def _thing(outcome: Outcome) -> Thing:
    use = outcome.use
    return Thing(use.plan.produce, use.way, use.product, use.jar)


def _yield(thing: Thing, farm: Farm | None, batches: Sequence[Outcome]) -> OwnYield:
    basis = basis_of(thing)
    rates = [_came_of(each) * basis.pounds / pounds(each.tenths) for each in batches]
    return OwnYield(
        thing=thing,
        farm=farm,
        batches=len(rates),
        least=min(rates),
        middle=median(rates),
        most=max(rates),
        basis=basis,
        published=published_of(thing, basis),
    )
