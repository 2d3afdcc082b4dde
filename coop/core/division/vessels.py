"""Communicating vessels: pour an amount in, and it stands at one level in all of them.

Every rule here can be built so, as M. M. Kaminski shows in "Hydraulic rationing", Mathematical
Social Sciences 40 (2000) 131-155 [source from memory]: each claim is a vessel that holds it, and
the rule is in where the vessels start and how wide they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Vessel:
    """One claim: where its bottom stands, what it takes for each unit of level, what it holds."""

    bottom: Fraction
    width: Fraction
    holds: Fraction

    @property
    def brim(self) -> Fraction:
        """The level at which it is full."""
        return self.bottom + self.holds / self.width

    def content(self, level: Fraction) -> Fraction:
        """What is in it when the level is this."""
        return min(max(self.width * (level - self.bottom), Fraction(0)), self.holds)


def pour(amount: Fraction, vessels: Sequence[Vessel]) -> list[Fraction]:
    """What stands in each vessel after pouring in `amount`, which must not pass what they hold.

    >>> pour(Fraction(3), [Vessel(Fraction(0), Fraction(1), Fraction(holds)) for holds in (1, 5)])
    [Fraction(1, 1), Fraction(2, 1)]
    """
    used = [vessel for vessel in vessels if vessel.holds]
    if not used:
        return [Fraction(0)] * len(vessels)
    level = _level(amount, used)
    return [vessel.content(level) if vessel.holds else Fraction(0) for vessel in vessels]


def _level(amount: Fraction, vessels: Sequence[Vessel]) -> Fraction:
    turns = [(vessel.bottom, vessel.width) for vessel in vessels]
    turns += [(vessel.brim, -vessel.width) for vessel in vessels]
    level, width, left = min(turns)[0], Fraction(0), amount
    for height, change in sorted(turns):
        needed = width * (height - level)
        if needed >= left and width:
            return level + left / width
        level, width, left = height, width + change, left - needed
    return level
