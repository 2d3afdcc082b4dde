"""Whom mail does not reach at the address that they have, whether or not anybody took note."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, OuterRef, QuerySet
from django.db.models.functions import Lower

from coop.notices.models import Mail
from coop.people.models import Coop, Member


@dataclass(frozen=True)
class Unreached:
    """Somebody whom mail does not reach: since when, and when it last did not.

    `is_noted`: a coordinator has taken note of every one of these refusals.
    """

    member: Member
    since: datetime
    last_at: datetime
    is_noted: bool


def unreached_in(coop: Coop, only: Collection[int] | None = None) -> list[Unreached]:
    """Members whom mail does not reach, by name; `only`: those of these keys. One query."""
    rows = _still_so(coop)
    if only is not None:
        rows = rows.filter(member__in=only)
    found: dict[int, Unreached] = {}
    for mail in rows.select_related("member__household").order_by("refused_at", "pk"):
        at = mail.refused_at or mail.made_at
        before = found.get(mail.member_id)
        found[mail.member_id] = Unreached(
            mail.member,
            since=before.since if before else at,
            last_at=at,
            is_noted=mail.seen_at is not None and (before is None or before.is_noted),
        )
    return sorted(found.values(), key=lambda each: (each.member.name.lower(), each.member.pk))


def _still_so(coop: Coop) -> QuerySet[Mail]:
    """Mail refused for good to an address that its member still has and that took none since."""
    taken = Mail.objects.filter(member=OuterRef("member"), sent_at__gt=OuterRef("refused_at"))
    since = taken.annotate(theirs=Lower("address")).filter(theirs=OuterRef("theirs"))
    refused = Mail.objects.filter(coop=coop, refused_at__isnull=False, member__left_at=None)
    return refused.annotate(theirs=Lower("address")).filter(
        ~Exists(since), theirs=Lower(F("member__user__email"))
    )
