"""Members: their roles, their leaving, and a person's own name."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction
from django.utils import timezone

from coop.people import hooks
from coop.people.actions.households import (
    close_household,
    require_coordinator_besides,
    withdraw_invitations_by,
)
from coop.people.changes import record_change
from coop.people.errors import TooLate
from coop.people.locks import lock_household, lock_people
from coop.people.models import ROLES, Member, User
from coop.people.rights import can_set_roles, can_take_off, require


def set_roles(member_id: int, roles: Collection[str], *, by: Member) -> Member:
    """Say which of ROLES a member has. Raises NotAllowed, LastCoordinator, TooLate."""
    require(can_set_roles(by))
    with transaction.atomic():
        hooks.lock_first(by.coop_id)
        member = _lock(member_id, by)
        before = member.roles
        if "coordinator" in before and "coordinator" not in roles:
            require_coordinator_besides(member.coop, leaving={"pk": member.pk})
        for role in ROLES:
            setattr(member, role, role in roles)
        if member.roles != before:
            member.save(update_fields=list(ROLES))
            _write_roles(member, before, by=by)
            hooks.tell_member_changed(member)
        return member


def _write_roles(member: Member, before: list[str], *, by: Member) -> None:
    roles = " and ".join(member.roles) or "a member without a role"
    record_change(
        member.household,
        f"{member.name} is now {roles}.",
        coop=member.coop,
        by=by,
        before={"roles": before},
        after={"roles": member.roles},
    )


def leave(member_id: int, *, by: Member) -> Member:
    """Take a member off the list; the last member of a household takes the household along.

    Raises NotAllowed, LastCoordinator, TooLate, and StillOpen when the household would go with
    something open.
    """
    with transaction.atomic():
        household_id = Member.objects.values_list("household", flat=True).get(
            pk=member_id, coop=by.coop
        )
        lock_household(by.coop_id, household_id)  # it may go along
        hooks.lock_first(by.coop_id)
        member = _lock(member_id, by)
        require(can_take_off(by, member))
        require_coordinator_besides(member.coop, leaving={"pk": member.pk})
        member.left_at = timezone.now()
        for role in ROLES:
            setattr(member, role, False)
        member.save(update_fields=["left_at", *ROLES])
        withdraw_invitations_by([member])
        hooks.tell_member_changed(member)
        sentence = "left" if by.pk == member.pk else "was taken off"
        record_change(member.household, f"{member.name} {sentence}.", coop=member.coop, by=by)
        if not member.household.members.filter(left_at__isnull=True).exists():
            close_household(member.household, by=by)
        hooks.tell_came_or_left(member.coop)
        return member


def _lock(member_id: int, by: Member) -> Member:
    lock_people(by.coop_id)
    member = Member.objects.select_related("coop", "household").get(pk=member_id, coop=by.coop)
    if member.left_at:
        raise TooLate(f"{member.name} has left the co-op already.")
    return member


def rename(user: User, name: str) -> None:
    """Give a person another name, in every co-op that they are a member of."""
    with transaction.atomic():
        user.name = name
        user.save(update_fields=["name"])
        user.memberships.filter(left_at__isnull=True).update(name=name)
