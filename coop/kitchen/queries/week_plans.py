"""What plans have to say on This week: a share that was fetched and is not planned yet."""

from __future__ import annotations

from datetime import datetime, timedelta

from coop.buying.models import Share
from coop.core.preserving import produce_named
from coop.people import week
from coop.people.models import Member

#: Fresh produce waits for days, not for weeks; then the page stops asking. Common practice.
REMINDS_FOR = timedelta(days=14)


def register() -> None:
    """Put the part of plans into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """Shares of the household that were fetched and that the tables know. One query.

    They are quiet: their time is the end of the reminder, so they stand after what is due before.
    """
    shares = (
        Share.objects.filter(
            household=member.household_id,
            amount__gt=0,
            fetched_at__gt=now - REMINDS_FOR,
            fetched_at__lte=now,
            division__withdrawn_at__isnull=True,
            plan__isnull=True,
        )
        .select_related("division__line__buy")
        .order_by("fetched_at", "id")
    )
    due = [
        week.Due("kitchen/plans/week/share.html", share, share.fetched_at + REMINDS_FOR)
        for share in shares
        if share.fetched_at and produce_named(share.division.line.produce)
    ]
    return week.Week(due=due)
