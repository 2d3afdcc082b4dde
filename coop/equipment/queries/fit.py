"""The steward's overview: what is out of order, to see to, to be tested, to be looked after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coop.equipment.models import Thing
from coop.equipment.queries.cares import CareState, cares_in
from coop.equipment.queries.fitness import Fitness, fitness_in


@dataclass(frozen=True)
class Line:
    """A thing and what stands against using it."""

    thing: Thing
    fitness: Fitness


@dataclass(frozen=True)
class Overview:
    """Things of a co-op and how fit they are, each list by name of the thing.

    A thing stands in every list that it belongs to.
    """

    lines: list[Line]
    cares_due: list[CareState]

    @property
    def out_of_order(self) -> list[Line]:
        """What cannot be booked."""
        return [line for line in self.lines if line.fitness.is_out_of_order]

    @property
    def to_see_to(self) -> list[Line]:
        """What must be seen to before it is handed over, and can be booked."""
        return [
            line
            for line in self.lines
            if line.fitness.to_see_to and not line.fitness.is_out_of_order
        ]

    @property
    def tests_before_use(self) -> list[Line]:
        """Dial gauges that were bumped or found off, and are out of order until tested."""
        return [line for line in self.lines if line.fitness.test_waits]

    @property
    def tests_out_of_date(self) -> list[Line]:
        """Other dial gauges without a test that holds."""
        return [
            line
            for line in self.lines
            if line.fitness.gauge_is_out_of_date and not line.fitness.test_waits
        ]

    @property
    def tests_due_soon(self) -> list[Line]:
        """Dial gauges to be tested within weeks, the soonest first."""
        soon = [
            line
            for line in self.lines
            if line.fitness.gauge_is_due_soon and not line.fitness.test_waits
        ]
        return sorted(soon, key=lambda line: line.fitness.test_due_on or date.max)

    @property
    def tests_count(self) -> int:
        """How many dial gauges are to be tested, now or within weeks."""
        tests = (self.tests_before_use, self.tests_out_of_date, self.tests_due_soon)
        return sum(map(len, tests))

    @property
    def fit_count(self) -> int:
        """How many things nothing stands against, care that is due aside."""
        return sum(
            not line.fitness.faults and not line.fitness.gauge_is_out_of_date for line in self.lines
        )

    @property
    def is_all_well(self) -> bool:
        """Whether there is nothing to do."""
        lists = (self.out_of_order, self.to_see_to, self.cares_due)
        return not any(lists) and not self.tests_count


def overview_of(things: Sequence[Thing], today: date) -> Overview:
    """How fit things of one co-op are, with what is to be done. Three queries."""
    fitness = fitness_in(things, today)
    states = cares_in(things, today)
    return Overview(
        lines=[Line(thing, fitness[thing.pk]) for thing in things],
        cares_due=[state for state in states if state.is_due],
    )
