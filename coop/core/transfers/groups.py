"""Splitting balances into groups that each add up to zero, as many groups as possible.

Here a balance is a plain number of cents, and a group is a list of places in the list of balances.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

MOST_EXACT = 22  # open balances; the table then has 2**21 sets: a tenth of a second, 50 MB
SAFE = 2**62  # a sum below this fits in a signed 64-bit number

Group = list[int]


def pairs(cents: Sequence[int]) -> tuple[list[Group], Group]:
    """Take out pairs that cancel; returns the pairs and the places left.

    This never costs a group. Let a and b cancel, and take any best split. If they share a group,
    cutting it into {a, b} and the rest is no worse. If they are in two groups, these become
    {a, b} and all the others together: as many groups as before, each adding up to zero.

    >>> pairs([5, 7, -5, 5, -12])
    ([[0, 2]], [1, 3, 4])
    """
    waiting: dict[int, list[int]] = {}
    found: list[Group] = []
    for place, amount in enumerate(cents):
        if waiting.get(-amount):
            found.append([waiting[-amount].pop(0), place])
        else:
            waiting.setdefault(amount, []).append(place)
    return found, sorted(place for places in waiting.values() for place in places)


def most_groups(cents: Sequence[int]) -> list[Group]:
    """The largest number of groups that add up to zero and together hold every balance.

    Parameters:
        cents: at most MOST_EXACT balances above or below 0, adding up to 0.

    Returns: the groups, each a list of places. One of them holds the last balance, so the others
    are as many disjoint groups as can be packed into the balances before it, and what is left over
    joins the last.

    >>> most_groups([3, -1, -2, 4, 6, -10])
    [[0, 1, 2], [3, 4, 5]]
    """
    if not cents:
        return []
    groups, left = pack(cents[:-1])
    return [*groups, [*left, len(cents) - 1]]


def pack(cents: Sequence[int]) -> tuple[list[Group], Group]:
    """The most disjoint groups that add up to zero, and the places that are in none.

    best[set] is the most groups inside a set of balances: taking away one balance at a time, every
    set met on the way that adds up to zero closes a group. So best[set] is the best of the sets
    with one balance less, and one more if the set itself adds up to zero. Sets are bit masks, done
    in order of size, all of a size at once.

    Source: dynamic programming over subsets, as in M. Held and R. M. Karp, "A dynamic programming
    approach to sequencing problems", Journal of SIAM 10 (1962) 196-210 (from memory).

    >>> pack([3, -1, -2, 5])
    ([[0, 1, 2]], [3])
    """
    sums = _subset_sums(cents)
    zero = sums == 0
    zero[0] = False
    best = np.zeros(len(sums), dtype=np.uint8)
    for masks in _by_size(len(cents)):
        inside = best[masks]
        for place in range(len(cents)):
            np.maximum(inside, best[masks & ~(1 << place)], out=inside)
        best[masks] = inside + zero[masks]
    return _trace(best, zero, len(cents))


def _subset_sums(cents: Sequence[int]) -> NDArray[Any]:
    """The sum of every set of balances; Python integers where 64 bits might not hold them."""
    kind: type = np.int64 if sum(map(abs, cents)) < SAFE else object
    sums: NDArray[Any] = np.zeros(1, dtype=kind)
    for amount in cents:
        sums = np.concatenate([sums, sums + amount])
    return sums


def _by_size(places: int) -> list[NDArray[np.int64]]:
    """Every set of `places` balances as a mask, in one array for each size from 1 up."""
    sizes = np.zeros(1, dtype=np.uint8)
    for _ in range(places):
        sizes = np.concatenate([sizes, sizes + 1])
    ends = np.cumsum(np.bincount(sizes))
    return np.split(np.argsort(sizes, kind="stable"), ends[:-1])[1:]


def _trace(
    best: NDArray[np.uint8], zero: NDArray[np.bool_], places: int
) -> tuple[list[Group], Group]:
    """Walk from the whole set down to nothing and lose no group; returns groups and the rest."""
    parts: list[Group] = [[]]
    mask = 2**places - 1
    while mask:
        if zero[mask]:
            parts.append([])
        without = best[mask] - zero[mask]
        place = next(i for i in range(places) if mask >> i & 1 and best[mask ^ 1 << i] == without)
        parts[-1].append(place)
        mask ^= 1 << place
    return parts[1:], parts[0]
