"""The gauge tests of a thing, each with what it comes to."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404

from coop.core.gauges import Judged, judge
from coop.equipment.models import GaugeTest, Thing
from coop.people.models import Member


@dataclass(frozen=True)
class JudgedTest:
    """A test and what it comes to."""

    test: GaugeTest
    judged: Judged


def gauge_test_for(member: Member, test_id: int) -> GaugeTest:
    """A gauge test. Absent and another co-op's are the same 404."""
    found = GaugeTest.objects.filter(thing__coop=member.coop, pk=test_id)
    test = found.select_related("thing__coop", "thing__owner").first()
    if test is None:
        raise Http404
    return test


def judged_tests(thing: Thing) -> list[JudgedTest]:
    """The tests of a thing, the latest first. One query."""
    tests = thing.gauge_tests.select_related("by__household")
    return [JudgedTest(test, judge(test.true_tenths, test.read_tenths)) for test in tests]
