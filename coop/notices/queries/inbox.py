"""What the site shows a member: of each matter the latest notice, what is to read first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import (
    BooleanField,
    Count,
    Exists,
    ExpressionWrapper,
    F,
    OuterRef,
    Q,
    QuerySet,
    Window,
)
from django.shortcuts import get_object_or_404

from coop.notices.by_hand import READ, is_by_hand
from coop.notices.kinds import all_kinds
from coop.notices.models import Notice
from coop.notices.queries.words import NO_LONGER_SO
from coop.people.models import Member

#: A picture for each part that kinds belong to.
ICONS: Mapping[str, str] = {
    "Buys": "basket",
    "Money": "purse",
    "Equipment": "canner",
    "Jars": "jar",
    "Kitchen": "kitchen",
}
ANY_ICON = "note"


@dataclass(frozen=True)
class Shown:
    """One notice as a page shows it.

    `waits`: it is to be read. `state`: that it is no longer so, read or not; or that it is over,
    though nobody read it; empty else.
    `stands`: what it asks for can still be done.
    """

    notice: Notice
    icon: str
    waits: bool
    state: str
    stands: bool = True

    @property
    def button(self) -> str:
        """What it opens."""
        return READ if is_by_hand(self.notice.matter) else self.notice.matter.button


@dataclass(frozen=True)
class Unread:
    """The newest notices to read of what This week does not say itself, and how many in all."""

    shown: list[Shown]
    all: int


def shown_to(member: Member, now: datetime) -> QuerySet[Notice]:
    """All that the site has shown a member, but for what This week says itself."""
    elsewhere = [kind.code for kind in all_kinds() if not kind.in_inbox]
    notices = Notice.objects.filter(member=member, on_site=True, due_at__lte=now)
    return notices.exclude(matter__kind__in=elsewhere)


def listed(member: Member, now: datetime) -> QuerySet[Any]:
    """Of each matter the latest notice: those to read, then the others, the newest first.

    `stands` says whether what it says still stands and is not over; `waits` whether it is to be
    read: it stands, and nobody has read it.
    """
    later = shown_to(member, now).filter(
        Q(due_at__gt=OuterRef("due_at")) | Q(due_at=OuterRef("due_at"), pk__gt=OuterRef("pk")),
        matter=OuterRef("matter"),
    )
    stands = Q(matter__dropped_at=None) & ~_over(now)
    return (
        shown_to(member, now)
        .filter(~Exists(later))
        .annotate(stands=_whether(stands), waits=_whether(stands & Q(read_at=None)))
        .select_related("matter")
        .order_by("-waits", "-due_at", "-pk")
    )


def _whether(so: Q) -> ExpressionWrapper[Any]:
    return ExpressionWrapper(so, output_field=BooleanField())


def _over(now: datetime) -> Q:
    """What helps nobody any more, and what was told before a moment that has passed."""
    passed = Q(matter__ends_at=None, matter__at__lte=now) | Q(
        matter__ends_at__isnull=False, matter__ends_at__lte=now
    )
    ended = Q(matter__until__isnull=False, matter__until__lte=now)
    return ended | (Q(due_at__lt=F("matter__at")) & passed)


def to_read(member: Member, now: datetime) -> QuerySet[Any]:
    """The notices that a member has still to read, the newest first."""
    return listed(member, now).filter(waits=True)


def count_to_read(member: Member, now: datetime) -> int:
    """How many there are to read. One query."""
    return to_read(member, now).count()


def newest_to_read(member: Member, now: datetime, at_most: int) -> Unread:
    """The newest to read that This week has no row for, and how many there are in all. One query.

    The number is that of the page of notices, and of the bar of places.
    """
    said = [kind.code for kind in all_kinds() if kind.on_this_week]
    rows = to_read(member, now).annotate(
        all=Window(Count("pk")), is_said=_whether(Q(matter__kind__in=said))
    )
    newest = list(rows.order_by("is_said", "-due_at", "-pk")[:at_most])
    shown = as_shown(row for row in newest if not row.is_said)
    return Unread(shown, newest[0].all if newest else 0)


def as_shown(notices: Iterable[Any]) -> list[Shown]:
    """Notices of `listed` as a page shows them."""
    icons = {kind.code: ICONS.get(kind.part, ANY_ICON) for kind in all_kinds()}
    return [
        Shown(each, icons.get(each.matter.kind, ANY_ICON), each.waits, _state(each), each.stands)
        for each in notices
    ]


def _state(notice: Any) -> str:
    if notice.matter.is_off:
        return NO_LONGER_SO
    return "" if notice.waits or notice.read_at else "over"


def notice_for(member: Member, notice_id: int, now: datetime) -> Notice:
    """One notice that the site shows the member; a 404 for all others."""
    return get_object_or_404(shown_to(member, now).select_related("matter"), pk=notice_id)
