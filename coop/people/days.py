"""The day by a co-op's own clocks."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from coop.people.models import Coop


def today_in(coop: Coop, now: datetime) -> date:
    """The day that it is in the co-op's zone."""
    return now.astimezone(ZoneInfo(coop.time_zone)).date()
