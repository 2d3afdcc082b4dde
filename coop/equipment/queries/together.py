"""When several things could be had at the same time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from coop.core.spans import without
from coop.equipment.models import Thing
from coop.equipment.queries.free import HORIZON, Span, free_in


def next_free_together(
    things: Sequence[Thing], length: timedelta, after: datetime, *, most: int = 3
) -> list[Span]:
    """The next few times of a length in which all of the things could be had.

    One from each span in which all are free. One query, and one for the hours of each thing whose
    `hours` are not prefetched.
    """
    first, *others = free_in(things, (after, after + HORIZON)).values()
    for other in others:
        first = without(first, without(first, other))
    fitting = (start for start, end in first if end - start >= length)
    return [(start, start + length) for _, start in zip(range(most), fitting, strict=False)]
