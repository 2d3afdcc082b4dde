"""The kinds of notices about jars that were put up."""

from __future__ import annotations

from datetime import timedelta

from coop.core.reminders import after
from coop.kitchen.queries.seals import hours
from coop.notices.kinds import AT_ONCE, Kind, Timing

PART = "Kitchen"

#: Jars stand for the first; after the second none is processed again. Both are published.
STAND, PROCESS_AGAIN = hours("cooling_hours_low"), hours("reprocess_within_hours")
#: So long before the end they are told once more. Common practice, no source.
LAST_HOURS = 2
LAST_CALL = PROCESS_AGAIN - LAST_HOURS

SEALS = Kind(
    "seal_check",
    PART,
    "Check that the jars sealed",
    (
        Timing(
            f"{STAND} and {LAST_CALL} hours after", (after(hours=STAND), after(hours=LAST_CALL))
        ),
        Timing(f"{STAND} hours after", (after(hours=STAND),)),
    ),
    even_late=True,
    on_this_week=True,
    example="a load that ended",
    helps=timedelta(hours=PROCESS_AGAIN),
)
SUSPECT = Kind("jar_suspect", PART, "A load with jars of yours is suspect", AT_ONCE)
WARNING = Kind("jar_warning", PART, "Somebody warns of jars that you have", AT_ONCE, in_inbox=False)

KINDS = (SEALS, SUSPECT, WARNING)
