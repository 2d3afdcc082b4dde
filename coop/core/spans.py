"""Spans of time from a start until an end, the end not in it."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TypeVar

Moment = TypeVar("Moment", int, datetime)


def joined(spans: Iterable[tuple[Moment, Moment]]) -> list[tuple[Moment, Moment]]:
    """The same time in as few spans as can be, in order; those that hold no time are left out.

    Parameters:
        spans: in any order; they may overlap, touch, or end before they start.

    >>> joined([(9, 12), (3, 5), (5, 6), (11, 14), (20, 20)])
    [(3, 6), (9, 14)]
    """
    together: list[tuple[Moment, Moment]] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if together and start <= together[-1][1]:
            first, last = together[-1]
            together[-1] = (first, max(last, end))
        else:
            together.append((start, end))
    return together


def without(
    spans: list[tuple[Moment, Moment]], taken: list[tuple[Moment, Moment]]
) -> list[tuple[Moment, Moment]]:
    """What is left of spans when the taken ones are cut out; both as `joined` gives them.

    >>> without([(0, 10), (20, 30)], [(3, 5), (8, 22)])
    [(0, 3), (5, 8), (22, 30)]
    """
    left: list[tuple[Moment, Moment]] = []
    place = 0
    for start, end in spans:
        free_from = start
        while place < len(taken) and taken[place][0] < end:
            if free_from < taken[place][0]:
                left.append((free_from, taken[place][0]))
            free_from = max(free_from, taken[place][1])
            if taken[place][1] > end:
                break  # it may reach into the next span as well
            place += 1
        if free_from < end:
            left.append((free_from, end))
    return left


def in_utc(moment: datetime) -> datetime:
    """The same moment in UTC, where hours between two moments are real hours.

    Raises: ValueError for a moment without a zone.
    """
    if moment.tzinfo is None:
        raise ValueError(f"{moment} names no zone, so it is no moment.")
    return moment.astimezone(UTC)
