"""How many households and people a letter would reach, before it is sent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256

from coop.core.figures import counted
from coop.notices.circles import Part
from coop.people.models import Coop, Household, Member
from coop.people.queries.households import households_in


@dataclass(frozen=True)
class Reach:
    """Some of those concerned, each with `members_now`; `silent` have nobody on the site."""

    part: Part
    reached: list[Household]
    silent: list[Household]

    @property
    def people(self) -> int:
        """How many members are told."""
        return sum(len(members_of(each)) for each in self.reached)

    @property
    def said(self) -> str:
        """As one reads it: "9 households, 14 people"."""
        return said(len(self.reached), self.people)

    @property
    def digest(self) -> str:
        """A name for who gets it: whom one looked at is whom it goes to, or it is not sent."""
        keys = [
            f"{home.pk}:{','.join(str(member.pk) for member in members_of(home))}"
            for home in self.reached
        ]
        return sha256(f"{self.part.code} {' '.join(keys)}".encode()).hexdigest()[:32]


def members_of(household: Household) -> list[Member]:
    """The `members_now` of a household that was read with them."""
    members: list[Member] = household.members_now  # type: ignore[attr-defined]
    return members


def said(households: int, people: int) -> str:
    """Numbers of who gets something.

    >>> said(9, 14), said(1, 1)
    ('9 households, 14 people', '1 household, 1 person')
    """
    humans = "1 person" if people == 1 else f"{people} people"
    return f"{counted(households, 'household')}, {humans}"


def reach_of(coop: Coop, part: Part) -> Reach:
    """Whom a part is, by name; households that have left are not among them. Two queries."""
    found = list(households_in(coop).filter(pk__in=part.households))
    return Reach(
        part,
        reached=[each for each in found if members_of(each)],
        silent=[each for each in found if not members_of(each)],
    )


def counts_of(coop: Coop, parts: Iterable[Part]) -> list[tuple[Part, str]]:
    """Each part that reaches anybody, with how many it reaches in words. One query."""
    homes = Member.objects.filter(
        coop=coop, left_at__isnull=True, household__left_at__isnull=True
    ).values_list("household", flat=True)
    people: dict[int, int] = {}
    for home in homes.order_by():
        people[home] = people.get(home, 0) + 1
    counted_parts = []
    for part in parts:
        reached = [people[home] for home in part.households if home in people]
        if reached:
            counted_parts.append((part, said(len(reached), sum(reached))))
    return counted_parts
