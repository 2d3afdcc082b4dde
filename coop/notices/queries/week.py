"""What notices have to say on This week."""

from __future__ import annotations

from datetime import datetime

from coop.people import week
from coop.people.models import Member


def register() -> None:
    """Put notices' part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """Notices to read, and for a coordinator who could not be told."""
    return week.Week()
