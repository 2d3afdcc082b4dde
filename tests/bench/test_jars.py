"""How long matching jars takes, against network simplex on the transport alone in the same run.

By hand: tests/bench -n0.
"""

import random
from collections.abc import Callable
from time import perf_counter

import networkx as nx
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from coop.core.jars import match_spares

HOUSEHOLDS, KINDS = 60, 12
Counts = dict[int, dict[int, int]]
Minutes = dict[tuple[int, int], int]


def a_season(spare: int) -> tuple[Counts, Counts, Minutes]:
    """Each household needs a fifth of the kinds and spares a fifth, up to `spare` dozen each."""
    chance = random.Random(60 + spare)
    needs: Counts = {}
    spares: Counts = {}
    places = [(chance.uniform(0, 40), chance.uniform(0, 40)) for _ in range(HOUSEHOLDS)]
    for household in range(HOUSEHOLDS):
        for kind in range(KINDS):
            drawn = chance.random()
            if drawn < 0.2:
                needs.setdefault(household, {})[kind] = chance.randint(1, 24)
            elif drawn < 0.4:
                spares.setdefault(household, {})[kind] = chance.randint(1, 12 * spare)
    minutes = {
        (one, other): 1 + round(3 * (abs(a - c) + abs(b - d)))
        for one, (a, b) in enumerate(places)
        for other, (c, d) in enumerate(places[:one])
    }
    return needs, spares, minutes


def transport_alone(needs: Counts, spares: Counts, minutes: Minutes) -> int:
    """The least travel with everybody visited, kind by kind; what is over or short goes nowhere."""
    travel = 0
    for kind in range(KINDS):
        graph = nx.DiGraph()
        lent = {who: own[kind] for who, own in spares.items() if kind in own}
        borrowed = {who: own[kind] for who, own in needs.items() if kind in own}
        over = sum(lent.values()) - sum(borrowed.values())
        graph.add_node("nowhere", demand=over)
        graph.add_nodes_from((("lends", who), {"demand": -jars}) for who, jars in lent.items())
        graph.add_nodes_from((("gets", who), {"demand": jars}) for who, jars in borrowed.items())
        for who in lent:
            graph.add_edge(("lends", who), "nowhere", weight=0 if over > 0 else 10**6)
            for other in borrowed:
                weight = minutes[max(who, other), min(who, other)]
                graph.add_edge(("lends", who), ("gets", other), weight=weight)
        for other in borrowed:
            graph.add_edge("nowhere", ("gets", other), weight=0 if over < 0 else 10**6)
        travel += nx.network_simplex(graph)[0]
    return travel


def best_seconds(work: Callable[[], object], rounds: int = 3) -> float:
    seconds = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return min(seconds)


@pytest.mark.parametrize(("spare", "times"), [(1, 5), (2, 60), (6, 150)])
def test_sixty_households_take_less_than_so_many_transports_alone(
    benchmark: BenchmarkFixture, spare: int, times: int
) -> None:
    season = a_season(spare)
    match = benchmark.pedantic(match_spares, season, rounds=2, warmup_rounds=1)
    assert match.proven
    assert match.travel >= transport_alone(*season)
    if benchmark.enabled:
        baseline = best_seconds(lambda: transport_alone(*season))
        benchmark.extra_info["ratio"] = benchmark.stats.stats.min / baseline
        assert benchmark.stats.stats.min < times * baseline
