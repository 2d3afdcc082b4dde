"""What This week says of warnings: those that nobody of the household has read yet."""

from __future__ import annotations

from datetime import datetime

from coop.kitchen.models import WarningTo
from coop.people import week
from coop.people.models import Member


def register() -> None:
    """Put the warnings into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, _now: datetime) -> week.Week:
    """A warning stands there until somebody of the household has read it: one query."""
    told = (
        WarningTo.objects.filter(household=member.household_id, read_at__isnull=True)
        .select_related("warning__by")
        .order_by("warning__at", "pk")
    )
    urgent = week.Due.URGENT
    return week.Week(
        due=[week.Due("kitchen/warnings/due.html", each, place=urgent) for each in told]
    )
