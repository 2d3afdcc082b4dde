"""Whole units by weight, by the method of the largest remainder: what we use for cents."""

from collections.abc import Sequence
from fractions import Fraction
from math import floor


def largest_remainder(total: int, weights: Sequence[int | Fraction]) -> list[int]:
    """Split `total` whole units in proportion to `weights`, so that the parts add up to it exactly.

    Parameters:
        total: whole units to hand out (cents, jars), 0 or more.
        weights: one for each receiver, whole numbers or fractions, 0 or more. A weight of 0 gets
            nothing. They may be all 0, or there may be none, only if `total` is 0.

    Returns: one whole number for each weight, in the same order: the exact part rounded down, and
    one more for the largest remainders until `total` is used up. Ties go to the earlier entry.

    Raises: ValueError, naming the offender, for a negative or inexact total or weight, and when
    nobody has a weight to take a total above 0.

    Source: A. Hamilton's method of 1792, described in M. L. Balinski and H. P. Young, "Fair
    Representation" (Yale University Press, 1982). It keeps within one unit of the exact part, and
    can take a unit from somebody when the total grows (the Alabama paradox), which does not matter
    for cents.

    >>> largest_remainder(100, [1, 1, 1])
    [34, 33, 33]
    >>> largest_remainder(10, [6100, 5000, 900])
    [5, 4, 1]
    """
    _check(total, weights)
    whole_weight = sum(weights, Fraction(0))
    if total == 0:
        return [0] * len(weights)
    exact = [Fraction(weight) * total / whole_weight for weight in weights]
    parts = [floor(part) for part in exact]
    by_remainder = sorted(range(len(parts)), key=lambda place: parts[place] - exact[place])
    for place in by_remainder[: total - sum(parts)]:
        parts[place] += 1
    return parts


def _check(total: int, weights: Sequence[int | Fraction]) -> None:
    if not isinstance(total, int):
        raise ValueError(f"The total {total!r} is not a whole number.")
    if total < 0:
        raise ValueError(f"The total {total} is below zero.")
    for number, weight in enumerate(weights, start=1):
        if not isinstance(weight, int | Fraction):
            raise ValueError(f"Weight {number}: {weight!r} is not a whole number or a fraction.")
        if weight < 0:
            raise ValueError(f"Weight {number}: {weight} is below zero.")
    if total and not any(weights):
        raise ValueError(f"There is {total} to hand out, and nobody has a weight above zero.")
