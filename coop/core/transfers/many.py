"""Groups that add up to zero where there are too many balances to search them all."""

from collections.abc import Sequence
from itertools import combinations
from math import comb

from coop.core.transfers.groups import MOST_EXACT, Group, most_groups, pack

LARGEST_SMALL = 6  # the largest group looked for by matching sums
MOST_HALVES = 100_000  # half groups compared at once; more would keep a page waiting
MATES = 20  # half groups kept for each sum
STRETCH = 18  # balances packed at once

Half = tuple[int, ...]


def many_groups(cents: Sequence[int]) -> list[Group]:
    """Many groups, not surely the most, that add up to zero and together hold every balance.

    Parameters:
        cents: balances above or below 0, adding up to 0, no two of them cancelling.

    Returns: the groups, each a list of places. Groups of three first, then of four and so on, as
    long as matching halves is quick; then what can be packed into one stretch of the rest after
    another; at last all that is left, exactly if that is few.

    >>> many_groups([3, -1, -2, 4, 6, -10])
    [[0, 1, 2], [3, 4, 5]]
    """
    found: list[Group] = []
    left = list(range(len(cents)))
    for size in range(3, LARGEST_SMALL + 1):
        while len(left) > MOST_EXACT and (groups := _of_size(size, cents, left)):
            found += groups
            left = _without(left, groups)
    groups = _stretches(cents, left)
    return [*found, *groups, *_last(cents, _without(left, groups))]


def groups_at_most(cents: Sequence[int]) -> int:
    """No split has more groups than this, as no pair cancels and each group has both signs.

    >>> groups_at_most([3, 4, 5, 6, -18])
    1
    """
    owed = sum(amount > 0 for amount in cents)
    return min(len(cents) // 3, owed, len(cents) - owed)


def _without(left: Group, groups: Sequence[Group]) -> Group:
    taken = {place for group in groups for place in group}
    return [place for place in left if place not in taken]


def _of_size(size: int, cents: Sequence[int], left: Group) -> list[Group]:
    """Disjoint groups of this size, each a half and its mate whose sums cancel."""
    small = size // 2
    if comb(len(left), size - small) > MOST_HALVES:
        return []
    mates: dict[int, list[Half]] = {}
    for mate in combinations(left, small):
        same_sum = mates.setdefault(_sum(mate, cents), [])
        if len(same_sum) < MATES:
            same_sum.append(mate)
    found: list[Group] = []
    taken: set[int] = set()
    for half in combinations(left, size - small):
        mate = _free_mate(half, mates.get(-_sum(half, cents), ()), taken)
        if mate:
            found.append(sorted(half + mate))
            taken.update(found[-1])
    return found


def _sum(half: Half, cents: Sequence[int]) -> int:
    return sum(cents[place] for place in half)


def _free_mate(half: Half, candidates: Sequence[Half], taken: set[int]) -> Half:
    """The first candidate that shares nothing with `half`, both of them free; or no places."""
    if not candidates or not taken.isdisjoint(half):
        return ()
    busy = taken.union(half)
    return next((mate for mate in candidates if busy.isdisjoint(mate)), ())


def _stretches(cents: Sequence[int], left: Group) -> list[Group]:
    """Pack one stretch after another, moving on by half a stretch where there is no group."""
    found: list[Group] = []
    misses = 0
    while len(left) > MOST_EXACT and misses * STRETCH // 2 <= len(left):
        stretch = left[:STRETCH]
        groups, _ = pack([cents[place] for place in stretch])
        found += [[stretch[place] for place in group] for group in groups]
        misses = 0 if groups else misses + 1
        left = _without(left, found)
        left = left if groups else left[STRETCH // 2 :] + left[: STRETCH // 2]
    return found


def _last(cents: Sequence[int], left: Group) -> list[Group]:
    """What is left as one group, or as the most groups where it is few enough to know."""
    if len(left) > MOST_EXACT:
        return [left]
    groups = most_groups([cents[place] for place in left])
    return [[left[place] for place in group] for group in groups]
