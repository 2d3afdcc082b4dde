"""A member reads notices on the site. What was read there before a letter carried it needs none."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from coop.notices.models import Notice
from coop.notices.queries.inbox import notice_for, shown_to
from coop.people.models import Member


def read_notice(notice_id: int, *, by: Member) -> Notice:
    """Mark a notice as read, and what was shown of the same matter before. Twice does no harm.

    Raises Http404 for what the site does not show the member.
    """
    now = timezone.now()
    with transaction.atomic():
        notice = notice_for(by, notice_id, now)
        _read(shown_to(by, now).filter(matter=notice.matter_id), now)
        return notice


def read_all(*, by: Member, shown_by: datetime | None = None) -> None:
    """Mark all notices as read that were due by `shown_by`, when the page was made; else by now."""
    now = timezone.now()
    with transaction.atomic():
        _read(shown_to(by, min(shown_by or now, now)), now)


def _read(notices: QuerySet[Notice], now: datetime) -> None:
    """Held in the order of their keys, as by whoever plans them; gathering passes over them.

    What is in a letter already stays in it.
    """
    unread = notices.filter(read_at=None)
    held = list(unread.select_for_update(of=("self",), no_key=True).order_by("pk"))
    Notice.objects.filter(pk__in=[notice.pk for notice in held]).update(read_at=now)
    waiting = [notice.pk for notice in held if notice.mail_id is None]
    Notice.objects.filter(pk__in=waiting).update(mail_at=None)
