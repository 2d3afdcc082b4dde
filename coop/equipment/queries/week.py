"""What equipment has to say on This week."""

from __future__ import annotations

from datetime import datetime

from coop.people import week
from coop.people.models import Member


def register() -> None:
    """Put equipment's part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """What the household's bookings want of it."""
    del member, now
    return week.Week()
