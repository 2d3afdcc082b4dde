"""The kinds of notices of buying. How long before is as in reference/trade.md, section 9."""

from __future__ import annotations

from datetime import timedelta

from coop.core.reminders import after, before, evening_before
from coop.notices.kinds import AT_ONCE, ByMail, Kind, Timing, declare

PART = "Buys"
#: How long a share waits after the pickup where nobody said otherwise: as a new buy has it.
WAITS = timedelta(minutes=30)

OPENS = Kind(
    "buy_opens",
    PART,
    "A buy takes asks",
    AT_ONCE,
    by_mail=ByMail.DAILY,
    on_this_week=True,
    can_wait=True,
)
CLOSES = Kind(
    "buy_closes",
    PART,
    "Asks close soon, and you have not asked",
    (
        Timing("2 days and 6 hours before", (before(hours=48), before(hours=6))),
        Timing("1 day before", (before(hours=24),)),
        Timing("6 hours before", (before(hours=6),)),
        Timing("the evening before at 18:00", (evening_before(18),)),
    ),
    even_late=True,
    in_calendar=True,
    stays_in_calendar=False,
    on_this_week=True,
    example="a buy whose asks close",
)
LAST_CHANGE = Kind(
    "buy_last_change",
    PART,
    "Last day to change your ask",
    (
        Timing("1 day before", (before(hours=24),)),
        Timing("6 hours before", (before(hours=6),)),
    ),
    in_calendar=True,
    on_this_week=True,
    example="a buy whose asks close",
)
NEWS = Kind("buy_news", PART, "What became of a buy", AT_ONCE)
#: Not late too: who has missed the first hears of the pickup by the news that fixed it.
PICKUP = Kind(
    "buy_pickup",
    PART,
    "Pickup",
    (
        Timing("1 day and 2 hours before", (before(hours=24), before(hours=2))),
        Timing("2 hours before", (before(hours=2),)),
        Timing("the evening before at 18:00", (evening_before(18),)),
    ),
    in_calendar=True,
    on_this_week=True,
    example="a pickup that begins",
)
UNFETCHED = Kind(
    "buy_unfetched",
    PART,
    "Your share is not fetched",
    (
        Timing("10 and 30 minutes after the pickup", (after(minutes=10), after(minutes=30))),
        Timing("10 minutes after the pickup", (after(minutes=10),)),
    ),
    on_this_week=True,
    example="a pickup that ended",
    helps=WAITS,
)
TO_RUN = Kind("buy_to_run", PART, "A buy you run: what is due", AT_ONCE, on_this_week=True)


def register() -> None:
    """Make the kinds known; called once, when the app is ready."""
    declare(OPENS, CLOSES, LAST_CHANGE, NEWS, PICKUP, UNFETCHED, TO_RUN)
