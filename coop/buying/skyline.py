"""The sums behind the picture of a division: a tower a household, its ask and its share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

HEIGHT = 48
STRIDE, WIDTH = 10, 8


@dataclass(frozen=True)
class Tower:
    """One household, in units of the drawing: its outline is the ask, its filling the share."""

    left: int
    asked_top: int
    asked_height: int
    got_top: int
    got_height: int
    is_short: bool


@dataclass(frozen=True)
class Skyline:
    """The towers side by side, the tallest as high as the drawing."""

    width: int
    towers: Sequence[Tower]


def skyline(pairs: Iterable[tuple[int, int]]) -> Skyline:
    """Draw pairs of (wanted, got) in base steps, in the order given.

    >>> skyline([(700, 350), (350, 350)]).towers[0]
    Tower(left=1, asked_top=0, asked_height=48, got_top=24, got_height=24, is_short=True)
    """
    drawn = list(pairs)
    tallest = max((max(pair) for pair in drawn), default=0) or 1
    towers = [
        _tower(place, _scaled(wanted, tallest), _scaled(got, tallest), is_short=got < wanted)
        for place, (wanted, got) in enumerate(drawn)
    ]
    return Skyline(max(len(towers), 1) * STRIDE, towers)


def _tower(place: int, asked: int, got: int, *, is_short: bool) -> Tower:
    left = place * STRIDE + (STRIDE - WIDTH) // 2
    return Tower(left, HEIGHT - asked, asked, HEIGHT - got, got, is_short)


def _scaled(steps: int, tallest: int) -> int:
    """A height in whole units; what is above zero is seen."""
    return max(round(Fraction(steps * HEIGHT, tallest)), 1) if steps else 0
