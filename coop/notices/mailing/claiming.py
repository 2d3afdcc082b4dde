"""Which notices become letters, and who carries a letter: for a time, and nobody else.

Whoever holds the token of a letter, while its lease lasts, carries it. Everything here compares
with what stands before it writes, so that any number of ticks and workers may do it at once.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection, transaction
from django.db.models import OuterRef, Q, QuerySet, Subquery

from coop.core.reminders import lead_of
from coop.notices.by_hand import is_by_hand
from coop.notices.models import Mail, Notice
from coop.people.models import Member

#: Members looked at in one transaction, and letters handed to one worker at a time.
MEMBERS_AT_ONCE, LETTERS_AT_ONCE = 200, 50

#: The tick gives way to a person: it waits no longer for a row than this, and tries again.
LONGEST_WAIT_MS = 500

UNENDED = Q(sent_at=None, refused_at=None, dropped_at=None)


@contextmanager
def giving_way() -> Iterator[None]:
    """A transaction that ends with OperationalError where it would have to wait for others."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute(f"SET LOCAL lock_timeout = {LONGEST_WAIT_MS}")
        yield


# ---- From notices to letters ----------------------------------------------------------------
def gather(now: datetime) -> int:
    """Make letters of notices that are due, one a member; returns how many notices were seen to.

    A notice that would help nobody any more becomes none, and is marked so. What somebody else
    holds at this moment is passed over.
    """
    with giving_way():
        notices = _due_notices(now)
        late = [notice for notice in notices if is_too_late(notice, now)]
        Notice.objects.filter(pk__in=[notice.pk for notice in late]).update(too_late_at=now)
        left = {notice.pk for notice in late}
        for together in _letters([notice for notice in notices if notice.pk not in left]):
            _make_mails(together, now)
    return len(notices)


def _due(now: datetime) -> QuerySet[Notice]:
    return Notice.objects.filter(
        mail=None,
        mail_at__lte=now,
        too_late_at=None,
        matter__dropped_at=None,
        member__left_at=None,
    )


def _due_notices(now: datetime) -> list[Notice]:
    """All that is due to a few members, who are held first: one letter a member, not two."""
    few = _due(now).order_by("mail_at", "member").values_list("member", flat=True)
    members = Member.objects.filter(pk__in=set(few[:MEMBERS_AT_ONCE])).order_by("pk")
    held = list(members.select_for_update(no_key=True, skip_locked=True).values_list("pk"))
    notices = (
        _due(now)
        .filter(member__in=[pk for (pk,) in held])
        .select_related("matter__coop", "member__user")
        .order_by("mail_at", "pk")
    )
    return list(notices.select_for_update(of=("self",), no_key=True, skip_locked=True))


def limit_of(notice: Notice) -> datetime | None:
    """After which telling it helps nobody; None for news without an end. It has its matter."""
    matter = notice.matter
    if matter.until:
        return matter.until
    due = lead_of(notice.lead).of(matter.at, ZoneInfo(matter.coop.time_zone))
    return matter.at if due < matter.at else None  # of a reminder, that is


def is_too_late(notice: Notice, now: datetime) -> bool:
    """Whether telling it would help nobody any more. The notice comes with its matter."""
    limit = limit_of(notice)
    return limit is not None and limit <= now


def _letters(notices: list[Notice]) -> Iterator[list[Notice]]:
    """Notices that go together, a letter a member; what a person wrote goes by its own subject."""
    by_hand: dict[int, list[Notice]] = defaultdict(list)
    others: list[Notice] = []
    for notice in notices:
        where = by_hand[notice.matter_id] if is_by_hand(notice.matter) else others
        where.append(notice)
    yield from filter(None, [others, *by_hand.values()])


def _make_mails(notices: list[Notice], now: datetime) -> None:
    """One letter to each member with all of theirs."""
    of_member = {notice.member_id: notice for notice in notices}
    mails = Mail.objects.bulk_create(
        Mail(
            coop_id=notice.matter.coop_id,
            member_id=member_id,
            address=notice.member.user.email,
            made_at=now,
            try_at=now,
        )
        for member_id, notice in of_member.items()
    )
    new = Mail.objects.filter(pk__in=[mail.pk for mail in mails], member=OuterRef("member"))
    chosen = Notice.objects.filter(pk__in=[notice.pk for notice in notices])
    chosen.update(mail=Subquery(new.values("pk")))


# ---- Who carries a letter -------------------------------------------------------------------
def claim(now: datetime) -> uuid.UUID | None:
    """Take a batch of letters that may be tried now; the token to hand on, or None for none."""
    waiting = Mail.objects.filter(UNENDED, Q(leased_until=None) | Q(leased_until__lte=now))
    few = waiting.filter(try_at__lte=now).order_by("try_at", "pk").values_list("pk", flat=True)
    with giving_way():
        held = list(few.select_for_update(no_key=True, skip_locked=True)[:LETTERS_AT_ONCE])
        if not held:
            return None
        token = uuid.uuid4()
        Mail.objects.filter(pk__in=held).update(token=token, leased_until=_lease_end(now))
    return token


def _lease_end(now: datetime) -> datetime:
    return now + timedelta(seconds=settings.MAIL_LEASE_SECONDS)


def exchange(token: uuid.UUID, new: uuid.UUID, now: datetime) -> bool:
    """Put a new token in the place of one; whether `new` holds anything now.

    Of two that come with the same token one goes away with nothing.
    """
    unended = Mail.objects.filter(UNENDED)
    changed = unended.filter(token=token).update(token=new, leased_until=_lease_end(now))
    return bool(changed) or unended.filter(token=new).exists()


def renew(token: uuid.UUID, until: datetime) -> bool:
    """Make the lease of what is left last so long; False where nothing is left, or it is lost."""
    return bool(Mail.objects.filter(UNENDED, token=token).update(leased_until=until))


def give_back(token: uuid.UUID) -> None:
    """Let anybody take what is left."""
    Mail.objects.filter(UNENDED, token=token).update(token=None, leased_until=None)
