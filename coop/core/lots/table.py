"""The table behind the lot plans: for every amount, the best containers of every offer.

Dynamic programming over the offers, last to first. Every amount keeps one integer key, and the
smallest key is the best way to reach it:

    key = cents * width + containers        (width: more than all containers together)

so the cheapest comes first, and among equals the one with the fewest containers. While an offer is
added, its count k is packed below the key, so that among equals the largest k wins; from the last
offer to the first, that prefers containers of the earliest offers.

Within one price the cost is linear in k, so the best k is a minimum over a moving window, found for
all amounts at once by doubling (a window of 300 counts takes nine steps). Everything is exact:
numbers stay in 64 bits where a bound proves that they fit, else they are Python's integers.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coop.core.lots.offer import Offer

Numbers = NDArray[Any]

SAFE = 2**62  # a sum of two numbers below this fits in a signed 64-bit number


@dataclass(frozen=True)
class Line:
    """An offer as the table sees it: its size in the table's unit, and how many could be bought."""

    offer: Offer
    size: int
    most: int

    def dearest(self) -> int:
        """The highest price of the line, in cents each."""
        return max(cents for _, cents in self.offer.prices)

    def tiers(self) -> list[tuple[int, int, int]]:
        """(first count, last count, cents each) for each price that some allowed count has."""
        starts = [start for start, _ in self.offer.prices]
        ends = [start - 1 for start in starts[1:]] + [self.most]
        spans = (
            (max(start, self.offer.at_least), min(end, self.most), cents)
            for (start, cents), end in zip(self.offer.prices, ends, strict=True)
        )
        return [span for span in spans if span[0] <= span[1]]


@dataclass(frozen=True)
class Scale:
    """How keys are packed: see the head of the module. `absent` marks what cannot be reached."""

    width: int
    absent: int
    kind: type[np.int64] | type[object]

    @staticmethod
    def of(lines: Sequence[Line], top: int) -> "Scale":
        """The packing for these lines and amounts up to `top`, with proof that it fits."""
        most = min(sum(line.most for line in lines), top // min(line.size for line in lines))
        width = most + 1
        # No plan has dearer goods than `top` made up of one line, and no window climbs higher.
        goods = max(line.dearest() * (top // line.size + 1) for line in lines)
        trips = sum(line.offer.fixed_cents for line in lines)
        pack = 1 + max(line.most for line in lines)
        bound = 2 * pack * ((goods + trips + 1) * width + top + 1)
        return Scale(width, bound, np.int64 if 2 * bound < SAFE else object)

    def unreached(self, length: int) -> Numbers:
        """Keys for `length` amounts of which none is reached."""
        return np.full(length, self.absent, dtype=self.kind)


@dataclass(frozen=True)
class Choice:
    """For every amount the best key, and the containers of each line of one farm it starts with."""

    keys: Numbers
    counts: NDArray[np.int64]


def best_choices(farms: Sequence[Sequence[Line]], top: int) -> tuple[Scale, list[Choice]]:
    """One choice per farm, in order; each holds for what the farms from there on must supply."""
    scale = Scale.of([line for lines in farms for line in lines], top)
    keys = scale.unreached(top + 1)
    keys[0] = 0
    choices: list[Choice] = []
    for lines in reversed(farms):
        choices.append(_with_farm(keys, lines, scale))
        keys = choices[-1].keys
    return scale, choices[::-1]


def _with_farm(keys: Numbers, lines: Sequence[Line], scale: Scale) -> Choice:
    """Add a farm: nothing of it, or a trip of each price with the lines that the trip covers.

    Letting a dearer trip also cover the lines of a cheaper one only adds choices that cost more
    than they must, so the best of all trips pays exactly the dearest of the lines it buys from.
    """
    best = Choice(keys, np.zeros((len(lines), len(keys)), dtype=np.int64))
    for fixed in sorted({line.offer.fixed_cents for line in lines}):
        covered = [line.offer.fixed_cents <= fixed for line in lines]
        best = _better(best, _with_trip(keys, lines, covered, scale=scale, fixed=fixed))
    return best


def _with_trip(
    keys: Numbers, lines: Sequence[Line], covered: Sequence[bool], *, scale: Scale, fixed: int
) -> Choice:
    """Add the covered lines of a farm, last to first, and the trip wherever any of them is used."""
    counts = np.zeros((len(lines), len(keys)), dtype=np.int64)
    for row in reversed(range(len(lines))):
        if covered[row]:
            keys, counts[row] = _with_line(keys, lines[row], scale)
    left = np.arange(len(keys))
    for row, line in enumerate(lines):
        counts[row] = counts[row][left]
        left = left - counts[row] * line.size
    trips = counts.any(axis=0).astype(scale.kind) * (fixed * scale.width)
    return Choice(keys + trips, counts)


def _better(one: Choice, other: Choice) -> Choice:
    """The smaller key for every amount; among equals, more from the earlier lines."""
    first_difference = np.zeros(len(one.keys), dtype=np.int64)
    for row in other.counts - one.counts:
        first_difference = np.where(first_difference == 0, row, first_difference)
    wins = (other.keys < one.keys) | ((other.keys == one.keys) & (first_difference > 0))
    return Choice(np.where(wins, other.keys, one.keys), np.where(wins, other.counts, one.counts))


def _with_line(keys: Numbers, line: Line, scale: Scale) -> tuple[Numbers, NDArray[np.int64]]:
    """Add one line: for every amount the best key, and the count of this line that gives it."""
    pack = line.most + 1
    packed = scale.unreached(len(keys))
    reached = keys < scale.absent
    packed[reached] = keys[reached] * pack
    # One row for each further container, one column for each remainder by the container's size.
    rows = -(-len(keys) // line.size)
    before = scale.unreached(rows * line.size)
    before[: len(keys)] = packed
    before = before.reshape(rows, line.size)
    best = before.copy()
    for first, last, cents in line.tiers():
        slope = (cents * scale.width + 1) * pack - 1
        climb = np.arange(rows, dtype=scale.kind).reshape(rows, 1) * slope
        lowest = _window_minimum(before - climb, last - first + 1)
        best[first:] = np.minimum(best[first:], lowest[: rows - first] + climb[first:])
    packed = best.reshape(-1)[: len(keys)]
    reached = packed < scale.absent
    counts = np.where(reached, -packed % pack, 0).astype(np.int64)
    return np.where(reached, (packed + counts) // pack, scale.absent), counts


def _window_minimum(values: Numbers, width: int) -> Numbers:
    """For every row, the minimum over it and the `width` - 1 rows before, as far as they go."""
    lowest, reach = values, 1
    while reach < min(width, len(values)):
        step = min(reach, width - reach)
        lowest = np.concatenate([lowest[:step], np.minimum(lowest[step:], lowest[:-step])])
        reach += step
    return lowest
