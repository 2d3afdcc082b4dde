"""What a member has chosen of notices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coop.core.reminders import Quiet
from coop.notices.kinds import AT_ONCE, ByMail, Kind, all_kinds
from coop.notices.models import Choice, Wishes
from coop.notices.planning import Wanted, leads_chosen
from coop.people.models import Member

#: The order of the headings, as of the places of the site; others follow.
PARTS = ("Buys", "Kitchen", "Equipment", "Jars", "Money")


@dataclass(frozen=True)
class Chosen:
    """What a member wants of all notices, and of each kind by its code."""

    wishes: Wishes
    choices: Mapping[str, Choice]

    def wanted(self, kind: Kind) -> Wanted:
        """How a kind comes then."""
        choice = self.choice_of(kind)
        wishes = self.wishes
        return Wanted(
            by_mail=ByMail(choice.by_mail),
            on_site=choice.on_site,
            leads=leads_chosen(kind, choice),
            quiet=Quiet(wishes.quiet_from, wishes.quiet_to) if wishes.quiet else None,
            daily_at=wishes.daily_at,
        )

    def choice_of(self, kind: Kind) -> Choice:
        """What was chosen of a kind, else what it has at first."""
        return self.choices.get(kind.code) or first_of(kind)


def first_of(kind: Kind) -> Choice:
    """What a kind has before anybody chooses."""
    return Choice(kind=kind.code, by_mail=kind.by_mail, timing=kind.timings[0].code)


def chosen_by(member: Member) -> Chosen:
    """What a member has chosen. Two queries."""
    wishes = Wishes.objects.filter(member=member).first() or Wishes()
    choices = Choice.objects.filter(member=member)
    return Chosen(wishes, {choice.kind: choice for choice in choices})


def is_timed(kind: Kind) -> bool:
    """Whether it is told some time before or after, rather than at once as news are."""
    return kind.timings != AT_ONCE


def kinds_by_part() -> dict[str, list[Kind]]:
    """All kinds, under the headings of the page of choices."""
    parts: dict[str, list[Kind]] = {part: [] for part in PARTS}
    for kind in all_kinds():
        parts.setdefault(kind.part, []).append(kind)
    return {part: kinds for part, kinds in parts.items() if kinds}


def values_of(choice: Choice) -> dict[str, Any]:
    """What of a choice is a member's to choose."""
    return {name: getattr(choice, name) for name in ("by_mail", "calendar", "on_site", "timing")}
