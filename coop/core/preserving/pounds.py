"""Pounds: read exactly, rounded to what a kitchen scale shows."""

from decimal import Decimal
from fractions import Fraction
from math import ceil

#: A scale in the barn shows tenths of a pound.
TENTHS = 10

Pounds = int | Fraction | Decimal | float


def exact_pounds(pounds: Pounds) -> Fraction:
    """Pounds as an exact fraction; a float counts as it is written, so 0.1 is a tenth.

    Raises: ValueError if they are negative or no number.

    >>> exact_pounds(0.1), exact_pounds(Fraction(63, 2))
    (Fraction(1, 10), Fraction(63, 2))
    """
    try:
        exact = Fraction(str(pounds) if isinstance(pounds, float) else pounds)
    except (ValueError, OverflowError):
        raise ValueError(f"Pounds {pounds} are no number.") from None
    if exact < 0:
        raise ValueError(f"Pounds {pounds} are below 0.")
    return exact


def whole_count(what: str, count: int, *, at_least: int = 0) -> int:
    """A count that must be whole and not too small; `what` names it in the error.

    Raises: ValueError.

    >>> whole_count("Jars", 7)
    7
    """
    if isinstance(count, bool) or not isinstance(count, int):
        raise ValueError(f"{what} {count!r} is not a whole number.")
    if count < at_least:
        raise ValueError(f"{what} {count} is below {at_least}.")
    return count


def up_to_tenth(pounds: Fraction) -> Fraction:
    """The least tenth of a pound that is not below.

    >>> up_to_tenth(Fraction(1, 3))
    Fraction(2, 5)
    """
    return Fraction(ceil(pounds * TENTHS), TENTHS)
