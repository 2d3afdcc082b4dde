"""How long finding a time takes at 10,000 bookings, against 100 in the same run.

By hand: tests/bench -n0. The window, the things and what is booked in the window are the same; what
grows is the past and the time to come after it.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.finding import Search, find
from coop.people.models import Household, Member
from tests.web.equipment_factories import make_dial_canner
from tests.web.factories import NOW, make_coop, make_household, make_member

THINGS, FEW, MANY = 10, 100, 10_000
APART, LENGTH = timedelta(hours=16), timedelta(hours=3)
WINDOW = NOW, NOW + FEW // THINGS * APART
MOST_TIMES_SLOWER, ROUNDS = 1.5, 60


def a_coop(bookings: int) -> tuple[Household, Search]:
    """A co-op with ten dial canners, each booked ten times within the window.

    The other bookings are half before it and half after.
    """
    coop = make_coop()
    household = make_household(coop)
    by = make_member(household)
    canners = [make_dial_canner(coop, turnaround_minutes=120) for _ in range(THINGS)]
    of_each, before = bookings // THINGS, (bookings - FEW) // THINGS // 2
    Booking.objects.bulk_create(
        _booking(canner, household, by, NOW + (place - before) * APART)
        for canner in canners
        for place in range(of_each)
    )
    asking = make_household(coop)
    return asking, Search(ThingKind.PRESSURE_CANNER, 180, WINDOW, gauge="dial")


def _booking(canner: Thing, household: Household, by: Member, start: datetime) -> Booking:
    ends = start + LENGTH
    return Booking(
        coop=canner.coop,
        thing=canner,
        household=household,
        by=by,
        starts_at=start,
        ends_at=ends,
        turnaround_minutes=120,
        free_at=ends + timedelta(hours=2),
    )


def best_seconds(*works: Callable[[], object]) -> list[float]:
    """The best of each, taken in turns: what else the machine does meanwhile hits all alike."""
    seconds: list[list[float]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for taken, work in zip(seconds, works, strict=True):
            start = perf_counter()
            work()
            taken.append(perf_counter() - start)
    return [min(taken) for taken in seconds]


@pytest.mark.django_db
def test_ten_thousand_bookings_are_answered_as_fast_as_a_hundred(
    benchmark: BenchmarkFixture,
) -> None:
    few, many = a_coop(FEW), a_coop(MANY)
    slots = benchmark.pedantic(find, (*many, NOW), rounds=ROUNDS, warmup_rounds=2)
    assert len(slots) == len(find(*few, NOW)) > THINGS
    if benchmark.enabled:
        at_few, at_many = best_seconds(lambda: find(*few, NOW), lambda: find(*many, NOW))
        benchmark.extra_info |= {"at_100": at_few, "at_10_000": at_many}
        benchmark.extra_info["ratio"] = at_many / at_few
        assert at_many < MOST_TIMES_SLOWER * at_few
