"""Which kinds come to a member by mail, of those that a letter carried."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from coop.notices.kinds import ByMail, Kind, all_kinds
from coop.notices.models import Choice
from coop.people.models import Member


@dataclass(frozen=True)
class KindMail:
    """One kind, and whether and when it comes to the member by mail."""

    kind: Kind
    by_mail: ByMail

    @property
    def comes(self) -> bool:
        """Whether it comes at all."""
        return self.by_mail is not ByMail.NEVER


def mail_of(member: Member, codes: Iterable[str]) -> list[KindMail]:
    """Those of the kinds that there are, in the order of the page of choices. One query."""
    asked = set(codes)
    chosen = dict(
        Choice.objects.filter(member=member, kind__in=asked).values_list("kind", "by_mail")
    )
    return [
        KindMail(kind, ByMail(chosen.get(kind.code, kind.by_mail)))
        for kind in all_kinds()
        if kind.code in asked
    ]
