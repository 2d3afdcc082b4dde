"""Households and members of a co-op."""

from __future__ import annotations

from django.db.models import Prefetch, Q, QuerySet
from django.http import Http404

from coop.people.models import Coop, Household, Member

#: Figures of a key; more would not fit a database's integer.
LONGEST_KEY = 9


def _with_members(households: QuerySet[Household]) -> QuerySet[Household]:
    """Each with `members_now`: who has not left, by name."""
    members = Member.objects.filter(left_at__isnull=True)
    return households.prefetch_related(Prefetch("members", members, to_attr="members_now"))


def households_in(coop: Coop, words: str = "") -> QuerySet[Household]:
    """The households of a co-op by name; with `words`, those where a name or a phone holds them."""
    households = coop.households.filter(left_at__isnull=True)
    if words:
        members = Member.objects.filter(coop=coop, left_at__isnull=True, name__icontains=words)
        named = Q(name__icontains=words) | Q(phone__icontains=words)
        households = households.filter(named | Q(pk__in=members.values("household")))
    return _with_members(households)


def former_households_in(coop: Coop) -> QuerySet[Household]:
    """The households that have left, the latest first."""
    return coop.households.filter(left_at__isnull=False).order_by("-left_at", "-id")


def household_for(member: Member, household_id: int) -> Household:
    """A household to read, with `members_now`. Absent and another co-op's are the same 404."""
    households = member.coop.households.select_related("coop").filter(pk=household_id)
    household = _with_members(households).first()
    if household is None:
        raise Http404
    return household


def household_named(member: Member, named: str) -> Household:
    """The household that an address names: its key as text, or empty for the member's own.

    Absent, malformed and another co-op's are the same 404.
    """
    if not named:
        return member.household
    if not (named.isascii() and named.isdigit() and len(named) <= LONGEST_KEY):
        raise Http404
    return household_for(member, int(named))


def member_for(member: Member, member_id: int) -> Member:
    """A member to read. Absent, gone and another co-op's are the same 404."""
    found = (
        member.coop.members.select_related("household", "coop")
        .filter(pk=member_id, left_at__isnull=True)
        .first()
    )
    if found is None:
        raise Http404
    return found


def is_last_of_household(member: Member) -> bool:
    """Whether the household would be empty without this member."""
    others = Member.objects.filter(household=member.household_id, left_at__isnull=True)
    return not others.exclude(pk=member.pk).exists()
