"""Quiet hours of a letter that comes later than it was meant to.

A notice is planned around them. But a mail server may be down over the evening, or the machine
asleep: what then waits to be tried again must not go out in the middle of the night.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from coop.core.reminders import Quiet
from coop.notices.mailing.claiming import limit_of
from coop.notices.models import Mail, Notice, Wishes

#: What is no later than this goes out as it was planned, in quiet hours too: it could not wait.
ON_TIME = timedelta(minutes=15)


def after_quiet_hours(mail: Mail, notices: Sequence[Notice], now: datetime) -> datetime | None:
    """When the quiet hours end in which a late letter would come now; None where it may go.

    What would help nobody by then goes out all the same. The mail comes with its member and what
    they wish, the notices with their matters; it asks for nothing else.
    """
    planned = [notice.mail_at for notice in notices if notice.mail_at]
    if not planned or now - max(planned) <= ON_TIME:
        return None
    try:
        wishes = mail.member.wishes
    except Wishes.DoesNotExist:
        wishes = Wishes()
    if not wishes.quiet:
        return None
    limits = [limit for notice in notices if (limit := limit_of(notice)) is not None]
    quiet, zone = Quiet(wishes.quiet_from, wishes.quiet_to), ZoneInfo(mail.coop.time_zone)
    then = quiet.outside(now, zone, until=min(limits, default=None), earliest=now)
    return then if then > now else None
