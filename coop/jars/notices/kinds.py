"""The kinds of notices about jars that are lent."""

from __future__ import annotations

from coop.core.reminders import after, days_after, days_before
from coop.notices.kinds import AT_ONCE, Kind, Timing

PART = "Jars"

ASKED = Kind(
    "jars_asked", PART, "Somebody asks for your jars, or lends you theirs", AT_ONCE, can_wait=True
)
DUE = Kind(
    "jars_due",
    PART,
    "Jars to return",
    (
        Timing("1 week before and on the day", (days_before(7), after())),
        Timing("on the day", (after(),)),
    ),
    on_this_week=True,
    can_wait=True,
    example="jars that are due back",
)
LATE = Kind(
    "jars_late",
    PART,
    "Jars that you have are late",
    (
        Timing("1 week and 4 weeks after", (days_after(7), days_after(28))),
        Timing("1 week after", (days_after(7),)),
    ),
    on_this_week=True,
    can_wait=True,
    example="jars that were due back",
)

KINDS = (ASKED, DUE, LATE)
