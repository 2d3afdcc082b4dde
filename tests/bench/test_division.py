"""How long dividing takes, against an obvious way of the same run. By hand: tests/bench -n0."""

import random
from collections.abc import Callable
from time import perf_counter

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from coop.core.division import Ask, Rule, divide

TALLY = 24_000
BUSHEL = 350
HOUSEHOLDS = 60


def loose_asks() -> list[Ask]:
    chance = random.Random(60)
    return [Ask(chance.randint(300, 1000)) for _ in range(HOUSEHOLDS)]


def mixed_asks() -> list[Ask]:
    """A third whole bushels, a third enough or nothing, a third any tenth of a pound."""
    third = HOUSEHOLDS // 3
    gapped = [Ask(a.wanted, at_least=a.wanted // 2, or_none=True) for a in loose_asks()[:third]]
    whole = [Ask(BUSHEL * (1 + number % 4), step=BUSHEL) for number in range(third)]
    return gapped + whole + loose_asks()[2 * third :]


def one_step_after_another(asks: list[Ask]) -> list[int]:
    """Even shares, looking each time through all for the lowest one that still wants more."""
    shares = [0] * len(asks)
    for _ in range(TALLY):
        hungry = [who for who, ask in enumerate(asks) if shares[who] < ask.wanted]
        shares[min(hungry, key=shares.__getitem__)] += 1
    return shares


def obvious_table(asks: list[Ask]) -> np.ndarray:
    """The least sum of squares for each amount, one share of one ask after another; no ties."""
    costs = np.full(TALLY + 1, 2**60)
    costs[0] = 0
    for ask in asks:
        before, costs = costs, np.full(TALLY + 1, 2**60)
        for share in [0, *range(max(ask.at_least, ask.step), ask.wanted + 1, ask.step)]:
            part = before[: TALLY + 1 - share] + share * share
            np.minimum(costs[share:], part, out=costs[share:])
    return costs


def best_seconds(work: Callable[[], object], rounds: int = 3) -> float:
    seconds = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return min(seconds)


def test_loose_asks_take_less_than_looking_through_all_each_time(
    benchmark: BenchmarkFixture,
) -> None:
    asks = loose_asks()
    assert sum(benchmark(divide, TALLY, asks, Rule.EVEN).shares) == TALLY
    if benchmark.enabled:
        baseline = best_seconds(lambda: one_step_after_another(asks))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < baseline


def test_mixed_asks_take_less_than_an_obvious_table(benchmark: BenchmarkFixture) -> None:
    asks = mixed_asks()
    assert benchmark(divide, TALLY, asks, Rule.PROPORTIONAL).exact
    if benchmark.enabled:
        baseline = best_seconds(lambda: obvious_table(asks))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < baseline


def test_twice_the_tally_takes_about_twice_the_time(benchmark: BenchmarkFixture) -> None:
    asks = loose_asks()
    assert benchmark(divide, TALLY, asks, Rule.CONCEDE).exact
    if benchmark.enabled:
        baseline = best_seconds(lambda: divide(TALLY // 2, asks, Rule.CONCEDE))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < 4 * baseline
