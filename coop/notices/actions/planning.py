"""Makes the notices of matters agree with what ought to be told. Inside its cause's transaction."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import QuerySet

from coop.notices import planning
from coop.notices.models import Mail, Matter, Notice
from coop.notices.planning import Planned, Readers

MOVABLE = ["due_at", "on_site", "mail_at", "mail"]


def plan_notices(matter: Matter, readers: Readers, now: datetime) -> None:
    """Make the matter's notices agree with its moment and its readers' choices.

    What a mail has told stays; so does what the site shows, while the member is still concerned.
    """
    rows = _lock_notices(matter, readers)
    said = {_key(row) for row in rows if is_mailed(row, now)}
    shown = {_key(row): row.due_at for row in rows if row.due_at <= now}
    planned = {
        (each.member.pk, each.lead): each
        for each in planning.plan(matter, readers, shown=shown, now=now)
    }
    standing = {_key(row): row for row in rows}
    for key, row in standing.items():
        if key in said:
            continue
        if key in planned:
            _move(row, planned[key])
        elif row.due_at <= now:
            _keep_as_history(row)
        else:
            row.delete()
    new = [each for key, each in planned.items() if key not in standing]
    Notice.objects.bulk_create(planning.as_row(each, matter, now) for each in new)


def _key(row: Notice) -> tuple[int, str]:
    return row.member_id, row.lead


def _lock_notices(matter: Matter, readers: Readers) -> list[Notice]:
    notices = Notice.objects.filter(matter=matter)
    return _lock(notices.filter(member=readers.only) if readers.only else notices)


def _lock(notices: QuerySet[Notice]) -> list[Notice]:
    """The notices with their mails as they are now, both held until the transaction ends.

    First the notices, then the mails: whoever gathers notices into mails, or claims mails, passes
    over what is held, and what they did a moment before is seen here.
    """
    rows = list(notices.select_for_update().order_by("pk"))
    held = Mail.objects.select_for_update().order_by("pk")
    mails = held.in_bulk({row.mail_id for row in rows if row.mail_id})
    for row in rows:
        row.mail = mails.get(row.mail_id) if row.mail_id else None
    return rows


def is_mailed(notice: Notice, now: datetime) -> bool:
    """Whether a mail has told it, or may be telling it this moment."""
    mail = notice.mail
    if mail is None or mail.dropped_at:
        return False
    in_hand = mail.leased_until is not None and mail.leased_until > now
    return bool(mail.sent_at or mail.refused_at or in_hand)


def _move(row: Notice, planned: Planned) -> None:
    before = row.due_at, row.on_site, row.mail_at
    row.due_at, row.on_site, row.mail_at = planned.due_at, planned.on_site, planned.mail_at
    if (row.due_at, row.on_site, row.mail_at) != before:
        row.mail = None  # a letter that waits for its second try no longer says this
        row.too_late_at = None
        row.save(update_fields=[*MOVABLE, "too_late_at"])


def _keep_as_history(row: Notice) -> None:
    row.mail, row.mail_at = None, None
    row.save(update_fields=["mail", "mail_at"])


def drop_notices(matters: Iterable[Matter], now: datetime) -> None:
    """What nobody was told of these matters yet, nobody will be."""
    ids = [matter.pk for matter in matters]
    rows = _lock(Notice.objects.filter(matter__in=ids))
    unmailed = [row for row in rows if not is_mailed(row, now)]
    ahead = [row.pk for row in unmailed if row.due_at > now]
    shown = [row.pk for row in unmailed if row.due_at <= now]
    Notice.objects.filter(pk__in=ahead).delete()
    Notice.objects.filter(pk__in=shown).update(mail=None, mail_at=None)
