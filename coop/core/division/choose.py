"""How much each part takes, so that the least is left over, and then at the lowest cost: exactly.

A knapsack by dynamic programming in two passes. Exact costs are whole numbers of some thousand
bits, too long for arrays, so the first pass counts in 64 bits, with every cost rounded down. It
tells for each amount left how low the rest can be, too low by less than one unit a part. The second
pass follows in exact numbers only the ways that rounding cannot rule out, and there are few.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

from coop.core.division.parts import Part

Longs = NDArray[np.int64]

# What is tried at most; past it the answer is settled for, not proven. The first is some seconds.
CELLS = 2_000_000_000
TABLE = 20_000_000
WAYS = 2_000_000

ROOM_BITS = 61
OUT_OF_REACH = 1 << 62


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


@dataclass(frozen=True)
class _Way:
    """Places chosen so far, last first, with their exact cost and their rounded one."""

    cost: int
    rounded: int
    place: int
    before: "_Way | None"


def _follow(
    room: int, parts: Sequence[Part], rounded: Sequence[Rounded], rest: Sequence[Longs]
) -> list[int]:
    """Follow each way that may be the best, keeping the cheapest for each amount left."""
    after_last = np.full(room + 1, OUT_OF_REACH, dtype=np.int64)
    after_last[0] = 0
    tables = [*rest, after_last]
    limit = _lowest_in_all(room, rounded[0], tables[0]) + len(parts)
    ways: dict[int, _Way] = {room: _Way(0, 0, -1, None)}
    tried = 0
    for part, short, table in zip(parts, rounded, tables, strict=True):
        found: dict[int, _Way] = {}
        for left, way in ways.items():
            for place in _open_places(left, short, table, limit - way.rounded):
                cost = way.cost + part.costs[place]
                remaining = left - int(short.amounts[place])
                if remaining not in found or cost < found[remaining].cost:
                    found[remaining] = _Way(cost, way.rounded + int(short.costs[place]), place, way)
                tried += 1
        if tried > WAYS:
            raise TooMany
        ways = found
    return _places(ways[0])


def _lowest_in_all(room: int, first: Rounded, rest: Longs) -> int:
    fits = first.amounts <= room
    return int((first.costs[fits] + rest[room - first.amounts[fits]]).min())


def _open_places(left: int, part: Rounded, rest: Longs, limit: int) -> list[int]:
    fits = int(np.searchsorted(part.amounts, left, side="right"))
    lowest = part.costs[:fits] + rest[left - part.amounts[:fits]]
    places: list[int] = np.flatnonzero(lowest <= limit).tolist()
    return places


def _places(way: _Way) -> list[int]:
    places = []
    step: _Way | None = way
    while step is not None and step.before is not None:
        places.append(step.place)
        step = step.before
    return places[::-1]
