"""Last loads of one canner, minutes, pressure and jar, and how they are put together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

from coop.core.figures import join_words
from coop.core.preserving import (
    LoadKey,
    LoadPart,
    Process,
    jar_words,
    load_key,
    method_words,
    pack_words,
    produce_in_sentence,
    product_words,
    share_loads,
    stove_minutes,
)
from coop.kitchen.models import Plan, Use
from coop.kitchen.queries.altitude import altitude_of
from coop.kitchen.queries.figures import UseFigures
from coop.kitchen.queries.plates import hours_said
from coop.people.models import Household


@dataclass(frozen=True)
class Part:
    """One canned use: whose it is, its likely jars, and how they fill loads of their own."""

    figures: UseFigures
    process: Process

    @property
    def use(self) -> Use:
        """The use itself."""
        return self.figures.use

    @property
    def household(self) -> Household:
        """Whose jars they are."""
        return self.use.plan.household

    @property
    def jars(self) -> int:
        """Its likely jars."""
        return self.figures.jars_likely

    @property
    def capacity(self) -> int:
        """Jars that go into its canner at once."""
        return self.use.jars_per_load

    @property
    def loads(self) -> int:
        """Loads that it needs by itself."""
        return ceil(self.jars / self.capacity)

    @property
    def last_load(self) -> int:
        """Jars in the last of them."""
        return self.jars - (self.loads - 1) * self.capacity

    @property
    def over(self) -> int:
        """Jars in a last load that is not full; 0 where every load is."""
        return self.jars % self.capacity

    @property
    def food_said(self) -> str:
        """What is in the jars: "sweet corn, whole kernel, hot pack"."""
        food, use = produce_in_sentence(self.use.plan.produce), self.use
        return f"{food}, {product_words(use.product)}, {pack_words(use.pack)}"

    @property
    def jars_told(self) -> str:
        """All of its jars."""
        return self.jars_said(self.jars)

    def jars_said(self, jars: int) -> str:
        """So many of its jars."""
        return f"{jars} {jar_words(self.use.jar, jars)}"


class Put(NamedTuple):
    """Jars of one part that stand in a load."""

    part: Part
    jars: int

    @property
    def is_parted(self) -> bool:
        """Whether more of the part's last load stands elsewhere."""
        return self.jars < self.part.over

    @property
    def said(self) -> str:
        """How many, and of how many: "1 of 6 quarts"."""
        whole = self.part.jars_said(self.part.over)
        return f"{self.jars} of {whole}" if self.is_parted else whole


@dataclass(frozen=True)
class JointLoad:
    """A load put together from last loads. `less` is how many loads it saves."""

    puts: tuple[Put, ...]
    capacity: int
    less: int

    @property
    def jars(self) -> int:
        """Jars in it."""
        return sum(put.jars for put in self.puts)

    @property
    def is_parted(self) -> bool:
        """Whether somebody's jars stand in it that have more of them elsewhere."""
        return any(put.is_parted for put in self.puts)

    @property
    def households(self) -> list[Household]:
        """Whose jars stand in it, each once."""
        return list(dict.fromkeys(put.part.household for put in self.puts))

    @property
    def said(self) -> str:
        """Whose jars make it up: "Castell 3 quarts and Dufresne 4 quarts fill one load of 7"."""
        who = join_words(f"{put.part.household} {put.said}" for put in self.puts)
        verb = "fill" if self.jars == self.capacity else "go into"
        return f"{who} {verb} one load of {self.capacity}"

    @property
    def foods_said(self) -> list[str]:
        """What is in them: one line where it is all the same, else one a household."""
        foods = {put.part.food_said for put in self.puts}
        if len(foods) == 1:
            return [_capital(foods.pop())]
        return [f"{put.part.household}: {put.part.food_said}" for put in self.puts]

    def concerns(self, household: Household) -> bool:
        """Whether jars of the household stand in it."""
        return household in self.households


@dataclass(frozen=True)
class Alike:
    """Everything of one place, canner, minutes, pressure, jar and size of load.

    `joint` are the loads that put several last loads together, `alone` last loads that find no
    company though others do.
    """

    place: str
    altitude_ft: int
    key: LoadKey
    capacity: int
    parts: tuple[Part, ...]
    joint: tuple[JointLoad, ...] = ()
    alone: tuple[JointLoad, ...] = ()
    loads_less: int = 0

    @property
    def title(self) -> str:
        """Canner, minutes and pressure in words."""
        pressure = f" at {self.key.psi} psi" if self.key.psi is not None else ""
        return f"{_capital(method_words(self.key.method))}, {self.key.minutes} minutes{pressure}"

    @property
    def jars_said(self) -> str:
        """The size of the jars, many of them."""
        return jar_words(self.key.jar, 2)

    @property
    def loads_apart(self) -> int:
        """Loads if everybody cooks alone."""
        return sum(part.loads for part in self.parts)

    @property
    def minutes_less(self) -> tuple[int, int]:
        """Stove time that sharing saves, at least and at most, in minutes."""
        low, high = stove_minutes(self.parts[0].process)
        return self.loads_less * low, self.loads_less * high

    @property
    def saving_said(self) -> str:
        """What sharing saves in this group."""
        return saving_said(self.loads_less, self.minutes_less)

    def told(self, load: JointLoad) -> str:
        """One joint load as a sentence, with what it saves by itself.

        Where jars are parted, only the loads together save something: `saving_said` has it.
        """
        if load.is_parted or not load.less:
            return f"{load.said}."
        low, high = stove_minutes(self.parts[0].process)
        return f"{load.said}: {saving_said(load.less, (load.less * low, load.less * high))}."

    def concerns(self, household: Household) -> bool:
        """Whether the household has jars in it."""
        return any(part.household == household for part in self.parts)


def groups_of(uses: Iterable[UseFigures]) -> tuple[Alike, ...]:
    """Uses in groups of what may stand in one canner, each with what could be put together."""
    groups: dict[tuple[_Place, LoadKey, int], list[Part]] = {}
    for each in uses:
        if each.process:
            part = Part(each, each.process)
            where = _place_of(each.use.plan), load_key(each.process), part.capacity
            groups.setdefault(where, []).append(part)
    return tuple(
        _alike(place, key, capacity, parts) for (place, key, capacity), parts in groups.items()
    )


def saving_said(loads: int, minutes: tuple[int, int]) -> str:
    """What sharing saves.

    >>> saving_said(1, (120, 180))
    'one load less, about 2 h to 3 h of stove time'
    """
    return f"{loads_less_said(loads)}, about {hours_said(*minutes)} of stove time"


def loads_less_said(loads: int) -> str:
    """Loads that are saved.

    >>> loads_less_said(1), loads_less_said(3)
    ('one load less', '3 loads less')
    """
    return "one load less" if loads == 1 else f"{loads} loads less"


class _Place(NamedTuple):
    """Where it is cooked: a kitchen, or (0) nobody said where, at the altitude of the co-op."""

    kitchen_id: int
    name: str
    altitude_ft: int


def _place_of(plan: Plan) -> _Place:
    if plan.kitchen:
        return _Place(plan.kitchen.pk, plan.kitchen.name, altitude_of(plan))
    return _Place(0, "no kitchen named", altitude_of(plan))


def _alike(place: _Place, key: LoadKey, capacity: int, parts: Sequence[Part]) -> Alike:
    of_core = [LoadPart(str(part.use.pk), key, part.jars, part.capacity) for part in parts]
    found = share_loads(of_core)
    by_use = {str(part.use.pk): part for part in parts}
    less = sum(shared.loads_apart - shared.loads_together for shared in found)
    loads = _put_together([by_use[owner] for shared in found for owner, _ in shared.jars], capacity)
    return Alike(
        place.name,
        place.altitude_ft,
        key,
        capacity,
        tuple(parts),
        joint=tuple(load for load in loads if len(load.puts) > 1),
        alone=tuple(load for load in loads if len(load.puts) == 1),
        loads_less=less,
    )


def _put_together(parts: Sequence[Part], capacity: int) -> list[JointLoad]:
    """Last loads put together into as few loads as their jars need.

    Whole ones first: the fullest, each into the fullest load that has room (best fit decreasing).
    Where that leaves more loads than the jars need, the emptiest load is parted among those with
    the most room, and again, until there is none too many.
    """
    fewest = ceil(sum(part.over for part in parts) / capacity)
    loads: list[list[Put]] = []
    for part in sorted(parts, key=lambda part: -part.over):
        fitting = [load for load in loads if _jars(load) + part.over <= capacity]
        if fitting:
            max(fitting, key=_jars).append(Put(part, part.over))
        else:
            loads.append([Put(part, part.over)])
    while len(loads) > fewest:
        emptiest = min(loads, key=_jars)
        loads.remove(emptiest)
        for put in emptiest:
            _part_among(loads, put, capacity)
    place = {part.use.pk: at for at, part in enumerate(parts)}
    return _joint(
        [sorted(load, key=lambda put: place[put.part.use.pk]) for load in loads], capacity
    )


def _part_among(loads: Sequence[list[Put]], put: Put, capacity: int) -> None:
    """Put the jars where there is the most room, and what is left over into the next."""
    left = put.jars
    while left:
        load = min(loads, key=_jars)
        jars = min(left, capacity - _jars(load))
        there = next((each for each in load if each.part is put.part), None)
        if there:
            load.remove(there)
        load.append(Put(put.part, jars + (there.jars if there else 0)))
        left -= jars


def _joint(loads: Iterable[list[Put]], capacity: int) -> list[JointLoad]:
    """Each load with what it saves: a load for every part that is done in it, less itself."""
    left: dict[int, int] = {}
    joint = []
    for puts in loads:
        done = 0
        for part, jars in puts:
            left[part.use.pk] = left.get(part.use.pk, part.over) - jars
            done += not left[part.use.pk]
        joint.append(JointLoad(tuple(puts), capacity, done - 1))
    return joint


def _jars(load: Iterable[Put]) -> int:
    return sum(put.jars for put in load)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
