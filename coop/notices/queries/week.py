"""What notices have to say on This week."""

from __future__ import annotations

from datetime import datetime

from coop.notices.queries.inbox import newest_to_read
from coop.people import week
from coop.people.models import Member

MOST_SHOWN = 5


def register() -> None:
    """Put notices' part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """The newest notices to read, without what This week has rows for. One query."""
    unread = newest_to_read(member, now, MOST_SHOWN)
    panels = [week.Panel("notices/week/panel.html", unread)] if unread.all else []
    return week.Week(panels=panels, unread=unread.all)
