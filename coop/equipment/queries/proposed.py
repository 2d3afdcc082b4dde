"""Times to propose where somebody was refused one, or looks at a thing: by day, a few days of them.

Which times are free is in `free`; here is which of them people are told of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

from coop.core.proposals import quarter_after, starts
from coop.core.spans import without
from coop.equipment.models import Thing
from coop.equipment.queries.finding import Hours, parts_of
from coop.equipment.queries.free import HORIZON, Span, free_in
from coop.people.models import Coop

#: So few of a day that a list shows several days. Judgement, no source.
MOST_A_DAY = 2


def next_free(
    thing: Thing,
    length: timedelta,
    after: datetime,
    *,
    most: int = 3,
    besides: Collection[int] = (),
) -> list[Span]:
    """The next few times of a length in which a thing could be had: see `next_free_together`."""
    return next_free_together([thing], length, after, most=most, besides=besides)


def next_free_together(
    things: Sequence[Thing],
    length: timedelta,
    after: datetime,
    *,
    most: int = 3,
    besides: Collection[int] = (),
) -> list[Span]:
    """The next few times of a length in which all of the things could be had.

    They lie between 6:00 and 22:00, or begin then where they are longer; at other hours only where
    there is no such time within the horizon. A day has two of them at the most, of different free
    spans; they begin on a quarter of an hour where that fits. `besides` are keys of bookings that
    do not count.

    One query, and one for the hours of each thing whose `hours` are not prefetched.
    """
    window = quarter_after(after), after + HORIZON
    first, *others = free_in(things, window, besides=besides).values()
    for other in others:
        first = without(first, without(first, other))
    coop = things[0].coop
    by_day = starts(first, length, parts_of(Hours.WAKING, coop, window))
    found = list(islice(_few_a_day(by_day, coop), most))
    found = found or list(islice(_few_a_day(starts(first, length), coop), most))
    return [(start, start + length) for start in found]


def _few_a_day(moments: Iterable[datetime], coop: Coop) -> Iterator[datetime]:
    zone, told = ZoneInfo(coop.time_zone), Counter[date]()
    for moment in moments:
        day = moment.astimezone(zone).date()
        told[day] += 1
        if told[day] <= MOST_A_DAY:
            yield moment
