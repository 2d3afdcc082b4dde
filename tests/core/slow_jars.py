"""Matching jars the slow, obvious way, and a checker that judges any match."""

from collections import Counter
from itertools import combinations, product
from random import Random

from coop.core.jars import JarMatch

Counts = dict[str, dict[str, int]]
Minutes = dict[tuple[str, str], int]


def way(minutes: Minutes, one: str, other: str) -> int | None:
    return minutes.get((one, other), minutes.get((other, one)))


def arcs_of(needs: Counts, spares: Counts, minutes: Minutes) -> list[tuple[str, str, str]]:
    """Lender, borrower and kind of everything that may move."""
    return [
        (lender, borrower, kind)
        for lender, have in spares.items()
        for borrower, want in needs.items()
        for kind in have
        if lender != borrower and have[kind] and want.get(kind)
        if way(minutes, lender, borrower) is not None
    ]


def slow_aims(needs: Counts, spares: Counts, minutes: Minutes) -> tuple[int, int, int]:
    """Jars lent, households visited and travel of the best match: every amount on every way."""
    arcs = arcs_of(needs, spares, minutes)
    ranges = [range(min(spares[a][k], needs[b][k]) + 1) for a, b, k in arcs]
    best = (0, 0, 0)
    for counts in product(*ranges):
        moves = [(*arc, count) for arc, count in zip(arcs, counts, strict=True) if count]
        lent, got = Counter(), Counter()
        for lender, borrower, kind, count in moves:
            lent[lender, kind] += count
            got[borrower, kind] += count
        if all(count <= spares[a][k] for (a, k), count in lent.items()) and all(
            count <= needs[b][k] for (b, k), count in got.items()
        ):
            travel = sum(way(minutes, a, b) * count for a, b, _, count in moves)
            rank = (-sum(counts), len({move[0] for move in moves}), travel)
            best = min(best, rank)
    return -best[0], best[1], best[2]


def check_match(match: JarMatch, needs: Counts, spares: Counts, minutes: Minutes) -> None:
    """Fail unless the match can be carried out and its sums are right; not that it is the best."""
    lent, got = Counter(), Counter()
    for lender, borrower, kind, jars in match.moves:
        assert jars > 0
        assert lender != borrower
        assert way(minutes, lender, borrower) is not None
        lent[lender, kind] += jars
        got[borrower, kind] += jars
    assert list(match.moves) == sorted(match.moves)
    assert len({move[:3] for move in match.moves}) == len(match.moves)
    assert all(jars <= spares[lender][kind] for (lender, kind), jars in lent.items())
    unmet = Counter({(b, k): jars for b, own in match.unmet.items() for k, jars in own.items()})
    assert all(jars > 0 for jars in unmet.values())
    wanted = Counter({(b, k): jars for b, own in needs.items() for k, jars in own.items() if jars})
    assert unmet + got == wanted
    assert match.households_visited == len({move.lender for move in match.moves})
    assert match.travel == sum(way(minutes, m[0], m[1]) * m[3] for m in match.moves)


def jars_lent(match: JarMatch) -> int:
    return sum(move.jars for move in match.moves)


def made_up(
    seed: int, *, households: int, kinds: int, most: int = 24, known: float = 0.8
) -> tuple[Counts, Counts, Minutes]:
    """Needs and spares at random; of all pairs the part `known` knows the way to one another."""
    chance = Random(seed)
    names = [f"household {number:02}" for number in range(households)]
    needs: Counts = {}
    spares: Counts = {}
    for name, kind in product(names, [f"kind {number:02}" for number in range(kinds)]):
        drawn = chance.random()
        if drawn < 0.4:
            needs.setdefault(name, {})[kind] = chance.randint(0, most)
        if drawn > 0.3:  # some have both: their jars are with the neighbours
            spares.setdefault(name, {})[kind] = chance.randint(0, most)
    minutes = {
        (pair if chance.random() < 0.5 else pair[::-1]): chance.randint(1, 60)
        for pair in combinations(names, 2)
        if chance.random() < known
    }
    return needs, spares, minutes
