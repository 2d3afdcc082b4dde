"""The kinds of notices of money."""

from __future__ import annotations

from coop.core.reminders import Lead, days_after
from coop.notices.kinds import AT_ONCE, ByMail, Kind, Timing, declare

PART = "Money"

#: After 2 and 7 days, as co-ops do it: reference/trade.md, section 9, settle-up.
TO_PAY = Kind(
    "money_to_pay",
    PART,
    "You have to pay",
    (
        Timing("at once, after 2 days and after a week", (Lead(), days_after(2), days_after(7))),
        Timing("at once and after a week", (Lead(), days_after(7))),
        Timing("at once", (Lead(),)),
    ),
    on_this_week=True,
    example="a payment that is asked of you",
)
TO_CONFIRM = Kind(
    "money_to_confirm", PART, "Somebody paid you", AT_ONCE, on_this_week=True, can_wait=True
)
OWED = Kind("money_owed", PART, "You are to be paid", AT_ONCE, by_mail=ByMail.DAILY, can_wait=True)


def register() -> None:
    """Make the kinds known; called once, when the app is ready."""
    declare(TO_PAY, TO_CONFIRM, OWED)
