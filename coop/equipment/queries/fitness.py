"""Whether things are fit for use: what is wrong, and whether the gauge was tested in time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from coop.core.gauges import Judged, Verdict, judge, test_due_on
from coop.equipment.kinds import Gauge
from coop.equipment.models import Fault, GaugeTest, Thing
from coop.equipment.queries.faults import ONLY_A_TEST_LIFTS

Stops = Fault.Stops
#: How long before a gauge test is due its keeper is asked for it: 4 to 8 weeks before the first
#: pressure day (trade notes, section 9).
DUE_SOON = timedelta(weeks=8)


@dataclass(frozen=True)
class Fitness:
    """What stands against using a thing; nothing of it, and it is fit.

    `faults` are those not mended. `tested` is the latest test of a dial gauge; `test_due_on` the
    day from which it is out of date, None where it was never tested. `source` is the key of the
    published rule.
    """

    has_dial: bool = False
    faults: list[Fault] = field(default_factory=list)
    tested: GaugeTest | None = None
    test_due_on: date | None = None
    today: date = date.min

    @property
    def stopping(self) -> list[Fault]:
        """The faults for which it cannot be booked."""
        return [each for each in self.faults if each.stops == Stops.BOOKINGS]

    @property
    def to_see_to(self) -> list[Fault]:
        """The faults that must be seen to before it is handed over."""
        return [each for each in self.faults if each.stops == Stops.HANDOVER]

    @property
    def is_out_of_order(self) -> bool:
        """Whether it cannot be booked."""
        return bool(self.stopping)

    @property
    def gauge_is_out_of_date(self) -> bool:
        """Whether its dial gauge has no test that still holds."""
        return self.has_dial and (self.test_due_on is None or self.test_due_on <= self.today)

    @property
    def test_waits(self) -> Fault | None:
        """What was said of its dial gauge since, and only a test lifts: the latest; None if fit."""
        waiting = [each for each in self.faults if self.has_dial and each.what in ONLY_A_TEST_LIFTS]
        return waiting[-1] if waiting else None

    @property
    def test_holds(self) -> bool:
        """Whether what its latest test found can be counted on now."""
        is_fit = self.test_waits is None and not self.must_be_replaced
        return self.has_dial and is_fit and not self.gauge_is_out_of_date

    @property
    def gauge_is_due_soon(self) -> bool:
        """Whether its dial gauge is to be tested within weeks, and its last test still holds."""
        return (
            self.has_dial
            and not self.gauge_is_out_of_date
            and self.test_due_on is not None
            and self.test_due_on <= self.today + DUE_SOON
        )

    @property
    def off_tenths(self) -> int:
        """How far its dial was off when last tested, in tenths of a psi; above 0: it read high."""
        return self._judged.off_tenths if self._judged else 0

    @property
    def must_be_replaced(self) -> bool:
        """Whether its latest test found its dial off by more than the published limit."""
        return self._judged is not None and self._judged.verdict == Verdict.REPLACE

    @property
    def _judged(self) -> Judged | None:
        if self.tested is None:
            return None
        return judge(self.tested.true_tenths, self.tested.read_tenths)


def fitness_in(things: Sequence[Thing], today: date) -> dict[int, Fitness]:
    """The fitness of each thing by its key. Two queries."""
    faults: dict[int, list[Fault]] = defaultdict(list)
    for fault in Fault.objects.filter(thing__in=things, mended_at=None).order_by("at", "id"):
        faults[fault.thing_id].append(fault)
    tests: dict[int, GaugeTest] = {}
    for test in GaugeTest.objects.filter(thing__in=things).order_by("tested_on", "id"):
        tests[test.thing_id] = test
    return {
        thing.pk: Fitness(
            has_dial=thing.gauge == Gauge.DIAL,
            faults=faults[thing.pk],
            tested=(tested := tests.get(thing.pk)),
            test_due_on=test_due_on(tested.tested_on) if tested else None,
            today=today,
        )
        for thing in things
    }


def fitness_of(thing: Thing, today: date) -> Fitness:
    """The fitness of one thing. Two queries."""
    return fitness_in([thing], today)[thing.pk]
