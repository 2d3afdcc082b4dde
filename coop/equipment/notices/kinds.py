"""The kinds of notices of equipment, with how long before each comes.

Due back: a day before, when it is due, and a day after. Gauge tests and gaskets: 4 to 8 weeks
before (trade notes, section 9). The other times are judgement, no source.
"""

from __future__ import annotations

from coop.core.reminders import Lead, after, before, days_after, days_before, evening_before
from coop.notices.kinds import AT_ONCE, Kind, Timing

PART = "Equipment"
WHEN_IT_IS = Lead()
IN_WEEKS, IN_FEWER = days_before(8 * 7), days_before(4 * 7)

STARTS = Kind(
    "booking_starts",
    PART,
    "Your booking starts",
    (
        Timing("the evening before at 18:00", (evening_before(18),)),
        Timing("1 day before", (days_before(1),)),
        Timing("2 hours before", (before(hours=2),)),
    ),
    in_calendar=True,
    on_this_week=True,
    example="a booking that starts",
)
DUE = Kind(
    "booking_due",
    PART,
    "What you have is due back",
    (
        Timing("1 day before and when it is due", (days_before(1), WHEN_IT_IS)),
        Timing("when it is due", (WHEN_IT_IS,)),
    ),
    on_this_week=True,
    example="a thing that is due back",
)
LATE = Kind(
    "booking_late",
    PART,
    "What you have is late",
    (
        Timing("after 1 hour and after 1 day", (after(hours=1), days_after(1))),
        Timing("after 1 hour", (after(hours=1),)),
    ),
    on_this_week=True,
    example="a thing that was due back",
)
OFFER = Kind("standby_offer", PART, "A time in line is yours to take", AT_ONCE, on_this_week=True)
NEWS = Kind("equipment_news", PART, "What became of a booking", AT_ONCE, in_inbox=False)
GAUGE_DUE = Kind(
    "gauge_due",
    PART,
    "A gauge test is due",
    (
        Timing("8 weeks and 4 weeks before", (IN_WEEKS, IN_FEWER)),
        Timing("4 weeks before", (IN_FEWER,)),
    ),
    on_this_week=True,
    can_wait=True,
    example="a gauge test that is due",
)
GAUGE_NOW = Kind("gauge_now", PART, "A gauge must be tested before use", AT_ONCE, on_this_week=True)
CARE_DUE = Kind(
    "care_due",
    PART,
    "Care of a thing is due",
    (
        Timing("4 weeks before and on the day", (IN_FEWER, WHEN_IT_IS)),
        Timing("8 weeks and 4 weeks before", (IN_WEEKS, IN_FEWER)),
        Timing("1 week before and on the day", (days_before(7), WHEN_IT_IS)),
    ),
    can_wait=True,
    example="care that is due",
)

ALL = (STARTS, DUE, LATE, OFFER, NEWS, GAUGE_DUE, GAUGE_NOW, CARE_DUE)
