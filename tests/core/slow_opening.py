"""Opening hours the slow, obvious way: reading the clocks in every minute."""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo

MINUTE = timedelta(minutes=1)


def slow_open_minutes(
    week: Sequence[tuple[int, int, int]], zone: tzinfo, window: tuple[datetime, datetime]
) -> list[datetime]:
    """The minutes in which the clocks of a zone show a time of the week's hours."""
    found, moment = [], window[0]
    while moment < window[1]:
        shown = moment.astimezone(zone)
        minute = shown.hour * 60 + shown.minute
        if any(day == shown.weekday() and start <= minute < end for day, start, end in week):
            found.append(moment)
        moment += MINUTE
    return found
