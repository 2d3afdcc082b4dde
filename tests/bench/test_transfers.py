"""How long squaring up takes, against an obvious search of the same run.

By hand: tests/bench -n0.
"""

import random
from collections.abc import Callable
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from coop.core.transfers import fewest_transfers

FEW = 14  # the obvious search does 2**14 sets; fewest_transfers 2**19


def random_cents(households: int) -> list[int]:
    chance = random.Random(households)
    cents = [chance.choice([1, -1]) * chance.randint(1, 20_000) for _ in range(households - 1)]
    return [*cents, -sum(cents)]


def named(cents: list[int]) -> dict[str, int]:
    return {f"household {place:03}": each for place, each in enumerate(cents)}


def obvious_search(cents: list[int]) -> int:
    """The most groups that add up to zero, one set of balances after another."""
    sums, best = [0], [0]
    for mask in range(1, 2 ** len(cents)):
        lowest = mask & -mask
        sums.append(sums[mask ^ lowest] + cents[lowest.bit_length() - 1])
        inside = max(best[mask & ~(1 << place)] for place in range(len(cents)) if mask >> place & 1)
        best.append(inside + (sums[mask] == 0))
    return best[-1]


def best_seconds(work: Callable[[], object], rounds: int = 3) -> float:
    seconds = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return min(seconds)


HARD = {
    "random": random_cents(20),
    "no group": [-(2**place) for place in range(19)] + [2**19 - 1],
    "very many groups": [1] * 13 + [-2] * 6 + [-1],
    "one payee": [-place for place in range(1, 20)] + [190],
    "past 64 bits": [10**30 + place for place in range(19)] + [-19 * 10**30 - 171],
}


@pytest.mark.parametrize("kind", HARD)
def test_twenty_balances_take_less_than_five_obvious_searches_of_fourteen(
    benchmark: BenchmarkFixture, kind: str
) -> None:
    assert benchmark(fewest_transfers, named(HARD[kind])).proven_fewest
    if benchmark.enabled:
        baseline = best_seconds(lambda: obvious_search(random_cents(FEW)))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < 5 * baseline


@pytest.mark.parametrize("households", [30, 60, 100, 300])
def test_a_crowd_takes_less_than_twenty_obvious_searches_of_fourteen(
    benchmark: BenchmarkFixture, households: int
) -> None:
    assert benchmark(fewest_transfers, named(random_cents(households))).payments
    if benchmark.enabled:
        baseline = best_seconds(lambda: obvious_search(random_cents(FEW)))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < 20 * baseline
