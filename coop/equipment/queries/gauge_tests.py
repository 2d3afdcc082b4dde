"""The gauge tests of a thing, each with what it comes to."""

from __future__ import annotations

from dataclasses import dataclass

from coop.core.gauges import Judged, judge
from coop.equipment.models import GaugeTest, Thing


@dataclass(frozen=True)
class JudgedTest:
    """A test and what it comes to."""

    test: GaugeTest
    judged: Judged


def judged_tests(thing: Thing) -> list[JudgedTest]:
    """The tests of a thing, the latest first. One query."""
    tests = thing.gauge_tests.select_related("by__household")
    return [JudgedTest(test, judge(test.true_tenths, test.read_tenths)) for test in tests]
