"""How much each part takes, so that the least is left over, and then at the lowest cost: exactly.

A knapsack by dynamic programming in two passes. Exact costs are whole numbers of some thousand
bits, too long for arrays, so the first pass counts in 64 bits, with every cost rounded down. It
tells for each amount left how low the rest can be, too low by less than one unit a part. The second
pass follows in exact numbers only the ways that rounding cannot rule out, and these are few, unless
many divisions are equally close.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

from coop.core.division.parts import Part

Longs = NDArray[np.int64]
Objects = NDArray[np.object_]

# What is tried at most; past it the answer is settled for, not proven. The first is some seconds.
CELLS = 3_000_000_000
TABLE = 20_000_000
WAYS = 10_000_000

ROOM_BITS = 61
OUT_OF_REACH = 1 << 62
_FAR = float("inf")  # past every exact cost, and never added to anything


class TooMany(Exception):
    """There are more combinations than we try."""


@dataclass(frozen=True)
class Rounded:
    """A part in short numbers: amounts in units of the common divisor, costs rounded down."""

    amounts: Longs
    costs: Longs


def most_in_all(amount: int, parts: Sequence[Part]) -> int:
    """The most that the parts can take in all without passing `amount`.

    >>> most_in_all(10, [Part((0,), [0, 4, 8], [0, 0, 0]), Part((1,), [0, 7], [0, 0])])
    8
    """
    unit = _unit(parts)  # 1 if there are no parts
    room = min(amount, sum(part.amounts[-1] for part in parts)) // unit
    kept = (1 << room + 1) - 1
    sums = 1  # bit k is set if k units can be taken
    for part in parts:
        sums = _spread(sums, part, unit) & kept
    return (sums.bit_length() - 1) * unit


def cheapest(total: int, parts: Sequence[Part]) -> list[int]:
    """The place in each part's `amounts` so that they add up to `total` at the lowest cost.

    `total` must be one that the parts can take. Raises TooMany past the limits of this module.
    """
    if len(parts) <= 1:
        return [part.amounts.index(total) for part in parts]
    unit = _unit(parts)
    order = sorted(range(len(parts)), key=lambda number: len(parts[number].amounts))
    order.insert(0, order.pop(-2))  # the largest is last and the next one first: neither costs work
    sorted_parts = [parts[number] for number in order]
    room = total // unit
    work = sum(len(part.amounts) for part in sorted_parts[1:-1]) * room
    if work > CELLS or len(parts) * room > TABLE:
        raise TooMany
    rounded = _rounded(sorted_parts, unit)
    places = _follow(room, sorted_parts, rounded, _lowest_rest(room, rounded))
    return [place for _, place in sorted(zip(order, places, strict=True))]


def _unit(parts: Sequence[Part]) -> int:
    return gcd(*(amount for part in parts for amount in part.amounts[1:3])) or 1


def _spread(sums: int, part: Part, unit: int) -> int:
    """Add to each sum each amount of the part, which are evenly spaced from the second on."""
    first = part.amounts[1] // unit
    spaced = part.amounts[1:]
    step = (spaced[-1] - spaced[0]) // max(len(spaced) - 1, 1) // unit
    more = sums << first
    reached, wanted = 1, len(spaced)
    while reached < wanted:
        jump = min(reached, wanted - reached)
        more |= more << jump * step
        reached += jump
    return sums | more


def _rounded(parts: Sequence[Part], unit: int) -> list[Rounded]:
    lowest = [min(part.costs) for part in parts]
    widest = sum(max(part.costs) - low for part, low in zip(parts, lowest, strict=True))
    shift = max(widest.bit_length() - ROOM_BITS, 0)
    return [
        Rounded(
            np.array(part.amounts, dtype=np.int64) // unit,
            np.array([cost - low >> shift for cost in part.costs], dtype=np.int64),
        )
        for part, low in zip(parts, lowest, strict=True)
    ]


def _lowest_rest(room: int, parts: Sequence[Rounded]) -> list[Longs]:
    """For each part but the first: the lowest cost from it on, by the amount taken from it on."""
    last = np.full(room + 1, OUT_OF_REACH, dtype=np.int64)
    fits = parts[-1].amounts <= room
    last[parts[-1].amounts[fits]] = parts[-1].costs[fits]
    tables = [last]
    for part in reversed(parts[1:-1]):
        later = tables[0]
        table = np.full(room + 1, OUT_OF_REACH, dtype=np.int64)
        for amount, cost in zip(part.amounts.tolist(), part.costs.tolist(), strict=True):
            if amount <= room:
                np.minimum(table[amount:], later[: room + 1 - amount] + cost, out=table[amount:])
        tables.insert(0, table)
    return tables


class _Front:
    """Where all ways stand after some parts: by the amount left, the cheapest way there."""

    def __init__(self, room: int) -> None:
        self.exact = np.full(room + 1, _FAR, dtype=object)
        self.rounded: Longs = np.zeros(room + 1, dtype=np.int64)
        self.places: Longs = np.zeros(room + 1, dtype=np.int64)
        self.reached = np.zeros(room + 1, dtype=np.bool_)

    def offer(self, lefts: Longs, exact: Objects, rounded: Longs, place: int) -> None:
        """Take these ways where they are cheaper than what is there."""
        cheaper = (exact < self.exact[lefts]).astype(np.bool_)
        lefts = lefts[cheaper]
        self.exact[lefts] = exact[cheaper]
        self.rounded[lefts] = rounded[cheaper]
        self.places[lefts] = place
        self.reached[lefts] = True


def _follow(
    room: int, parts: Sequence[Part], rounded: Sequence[Rounded], rest: Sequence[Longs]
) -> list[int]:
    """Follow each way that may be the best, keeping the cheapest for each amount left."""
    limit = _lowest_in_all(room, rounded[0], rest[0]) + len(parts)
    front = _Front(room)
    front.offer(np.array([room]), np.array([0], dtype=object), np.zeros(1, dtype=np.int64), 0)
    fronts = []
    tried = 0
    for part, short, lowest in zip(parts, rounded, [*rest, _nothing_left(room)], strict=True):
        after = _Front(room)
        standing = np.flatnonzero(front.reached)
        for place, amount in enumerate(short.amounts.tolist()):
            lefts = standing[np.searchsorted(standing, amount) :]
            costs = front.rounded[lefts] + short.costs[place]
            open_ways = costs + lowest[lefts - amount] <= limit
            lefts, costs = lefts[open_ways], costs[open_ways]
            after.offer(lefts - amount, front.exact[lefts] + part.costs[place], costs, place)
            tried += len(lefts)
            if tried > WAYS:
                raise TooMany
        fronts.append(after)
        front = after
    return _back(rounded, fronts)


def _nothing_left(room: int) -> Longs:
    table = np.full(room + 1, OUT_OF_REACH, dtype=np.int64)
    table[0] = 0
    return table


def _lowest_in_all(room: int, first: Rounded, rest: Longs) -> int:
    fits = first.amounts <= room
    return int((first.costs[fits] + rest[room - first.amounts[fits]]).min())


def _back(rounded: Sequence[Rounded], fronts: Sequence[_Front]) -> list[int]:
    """The places on the best way, from the end, where nothing is left, back to the start."""
    places, left = [], 0
    for part, front in zip(reversed(rounded), reversed(fronts), strict=True):
        place = int(front.places[left])
        places.append(place)
        left += int(part.amounts[place])
    return places[::-1]
