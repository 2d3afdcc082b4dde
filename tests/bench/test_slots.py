"""How long free times take among many bookings. By hand: tests/bench -n0."""

import random
from datetime import UTC, datetime, timedelta
from time import perf_counter

from pytest_benchmark.fixture import BenchmarkFixture

from coop.core.slots import free_slots

START = datetime(2026, 1, 1, tzinfo=UTC)
FEW, MANY = 100, 10_000
Times = tuple[datetime, datetime]


def asked(bookings: int) -> tuple[list[Times], list[Times], timedelta, Times]:
    """Bookings of two hours every six, and hours from 8:00 until 20:00 each day; all shuffled."""
    chance = random.Random(bookings)
    busy = [
        (at, at + timedelta(hours=2))
        for at in (START + timedelta(hours=6 * number) for number in range(bookings))
    ]
    days = [START + timedelta(days=number) for number in range(bookings // 4)]
    hours = [(day + timedelta(hours=8), day + timedelta(hours=20)) for day in days]
    chance.shuffle(busy)
    chance.shuffle(hours)
    return busy, hours, timedelta(minutes=30), (START, START + timedelta(days=bookings))


def test_a_hundred_times_the_bookings_take_about_a_hundred_times_as_long(
    benchmark: BenchmarkFixture,
) -> None:
    many, few = asked(MANY), asked(FEW)
    # A day has three spans free: 8:30 to 11:30 and 14:30 to 17:30, and none before 20:30.
    assert len(benchmark(free_slots, *many)) == 2 * MANY // 4
    if benchmark.enabled:
        seconds = []
        for _ in range(20):
            start = perf_counter()
            free_slots(*few)
            seconds.append(perf_counter() - start)
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / min(seconds)
