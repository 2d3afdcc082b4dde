"""Makes the notices of matters agree with what ought to be told. Inside its cause's transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db.models import QuerySet

from coop.notices import planning
from coop.notices.models import Mail, Matter, Notice
from coop.notices.planning import Planned, Readers

MOVABLE = ["due_at", "on_site", "mail_at", "mail", "too_late_at"]


def plan_notices(matters: Sequence[Matter], readers: Readers, now: datetime) -> int:
    """Make the notices of matters agree with their moments and their readers' choices.

    What a mail has told stays; so does what the site shows, while the member is still concerned.
    As many queries for a hundred matters as for one. Returns how many notices were not so.
    """
    rows = _lock_notices(matters, readers)
    new: list[Notice] = []
    gone: list[int] = []
    moved: list[Notice] = []
    for matter in matters:
        standing = rows.get(matter.pk, {})
        planned = {
            (each.member.pk, each.lead): each
            for each in planning.plan(matter, readers, standing=standing, now=now)
        }
        for key, row in standing.items():
            if is_mailed(row, now):
                continue
            if key not in planned and row.due_at > now:
                gone.append(row.pk)
            elif _is_moved(row, planned.get(key)):
                moved.append(row)
        new += [
            planning.as_row(each, matter, now)
            for key, each in planned.items()
            if key not in standing
        ]
    Notice.objects.filter(pk__in=gone).delete()
    Notice.objects.bulk_update(moved, MOVABLE)
    Notice.objects.bulk_create(new)
    return len(gone) + len(moved) + len(new)


def _lock_notices(matters: Sequence[Matter], readers: Readers) -> Mapping[int, planning.Standing]:
    notices = Notice.objects.filter(matter__in=[matter.pk for matter in matters])
    found: dict[int, dict[tuple[int, str], Notice]] = defaultdict(dict)
    for row in _lock(notices.filter(member=readers.only) if readers.only else notices):
        found[row.matter_id][row.member_id, row.lead] = row
    return found


def _is_moved(row: Notice, planned: Planned | None) -> bool:
    """Set what ought to be, and say whether that is another thing than before.

    What ought not to be any more, and was shown, stays as it was shown, without mail.
    """
    before = row.due_at, row.on_site, row.mail_at
    if planned is None:
        row.mail_at = None
    else:
        row.due_at, row.on_site, row.mail_at = planned.due_at, planned.on_site, planned.mail_at
    if row.mail_at != before[2]:
        row.mail = None  # a letter that waits for its second try no longer says this
        row.too_late_at = None
    return (row.due_at, row.on_site, row.mail_at) != before


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


def drop_notices(matters: Iterable[Matter], now: datetime) -> None:
    """What nobody was told of these matters yet, nobody will be."""
    ids = [matter.pk for matter in matters]
    rows = _lock(Notice.objects.filter(matter__in=ids))
    unmailed = [row for row in rows if not is_mailed(row, now)]
    ahead = [row.pk for row in unmailed if row.due_at > now]
    shown = [row.pk for row in unmailed if row.due_at <= now]
    Notice.objects.filter(pk__in=ahead).delete()
    Notice.objects.filter(pk__in=shown).update(mail=None, mail_at=None)
