"""How long lot plans take, against an obvious table of the same run. By hand: tests/bench -n0."""

import random
from collections.abc import Callable
from time import perf_counter

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from coop.core.lots import Offer, lot_plans

AMOUNTS = 60_000
MOST = 300


def a_dozen_offers() -> list[Offer]:
    chance = random.Random(12)
    return [
        Offer(
            f"container {number}",
            chance.randint(5, 90) * 2 + number % 2,  # no common unit
            [(1, 2400), (10, 2100), (25, 2000), (60, 1700)],
            MOST,
            chance.choice([0, 0, 5]),
            chance.choice([0, 1500]),
            chance.choice([None, "Hill"]),
        )
        for number in range(12)
    ]


def obvious_table(offers: list[Offer]) -> np.ndarray:
    """The lowest cost of each amount, one count of one offer after another; no counts, no trips."""
    costs = np.full(AMOUNTS + 1, 2**60)
    costs[0] = 0
    for offer in offers:
        before = costs
        costs = before.copy()
        for count in range(1, min(MOST, AMOUNTS // offer.size) + 1):
            start = count * offer.size
            np.minimum(costs[start:], before[:-start] + offer.cost_cents(count), out=costs[start:])
    return costs


def best_seconds(work: Callable[[], object], rounds: int = 3) -> float:
    seconds = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return min(seconds)


def test_a_dozen_offers_take_less_than_an_obvious_table(benchmark: BenchmarkFixture) -> None:
    offers = a_dozen_offers()
    assert benchmark(lot_plans, AMOUNTS, AMOUNTS, AMOUNTS, offers) is not None
    if benchmark.enabled:
        baseline = best_seconds(lambda: obvious_table(offers))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < baseline


def test_writing_out_every_plan_takes_no_longer_than_fifteen_tables(
    benchmark: BenchmarkFixture,
) -> None:
    offers = a_dozen_offers()
    assert len(benchmark(lot_plans, 0, 50_000, AMOUNTS, offers)) > AMOUNTS // 2
    if benchmark.enabled:
        baseline = best_seconds(lambda: lot_plans(AMOUNTS, AMOUNTS, AMOUNTS, offers))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < 15 * baseline


def test_twice_the_amounts_take_about_twice_the_time(benchmark: BenchmarkFixture) -> None:
    offers = a_dozen_offers()
    assert benchmark(lot_plans, AMOUNTS, AMOUNTS, AMOUNTS, offers) is not None
    if benchmark.enabled:
        baseline = best_seconds(lambda: lot_plans(AMOUNTS // 2, AMOUNTS // 2, AMOUNTS // 2, offers))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < 4 * baseline
