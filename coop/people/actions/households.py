"""Households: opened, edited, gone."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.people import hooks
from coop.people.changes import record_change
from coop.people.errors import LastCoordinator, NameTaken, StillOpen, TooLate
from coop.people.locks import lock_household, lock_people
from coop.people.models import ROLES, Coop, Household, Invitation, Member
from coop.people.rights import can_edit_household, can_end_household, require

DETAILS = ("name", "phone", "address", "note")
OWN_OR_COORDINATOR = "Only the household's own members and a coordinator can do this."


@dataclass(frozen=True)
class Details:
    """What a household says of itself."""

    name: str
    phone: str = ""
    address: str = ""
    note: str = ""


def open_household(coop: Coop, name: str, **details: str) -> Household:
    """Make a household with all that belongs to one (see hooks). Raises NameTaken."""
    with transaction.atomic():
        household = Household(coop=coop, name=name.strip(), **details)
        _save_named(household)
        return household


def _save_named(household: Household, fields: list[str] | None = None) -> None:
    try:
        with transaction.atomic():
            household.save(update_fields=fields)
    except IntegrityError as refusal:
        sentence = f"This co-op has a household named {household.name} already."
        raise NameTaken(sentence, field="name") from refusal
    for kept in hooks.household_kept:
        kept(household)


def edit_household(household_id: int, details: Details, *, by: Member) -> Household:
    """Save what a household says of itself. Raises NotAllowed, NameTaken."""
    with transaction.atomic():
        household = lock_household(by.coop_id, household_id)
        require(can_edit_household(by, household), OWN_OR_COORDINATOR)
        changed = [name for name in DETAILS if getattr(household, name) != getattr(details, name)]
        before = {name: getattr(household, name) for name in changed}
        for name in changed:
            setattr(household, name, getattr(details, name))
        if changed:
            _save_named(household, changed)
            record_change(
                household,
                f"Changed: {', '.join(changed)}.",
                coop=household.coop,
                by=by,
                before=before,
                after={name: getattr(household, name) for name in changed},
            )
        return household


def reasons_to_stay(household: Household) -> list[str]:
    """Sentences on what the household still has open; none when it can leave."""
    return [sentence for ask in hooks.reasons_to_stay for sentence in ask(household)]


def end_household(household_id: int, *, by: Member) -> Household:
    """Have a household leave the co-op, with all of its members.

    Raises NotAllowed; LastCoordinator when nobody else coordinates; StillOpen while it owes, is
    owed, or has something to fetch.
    """
    with transaction.atomic():
        household = lock_household(by.coop_id, household_id)
        hooks.lock_first(by.coop_id)
        lock_people(by.coop_id)
        require(can_end_household(by, household), OWN_OR_COORDINATOR)
        if household.left_at:
            raise TooLate(f"{household.name} has left already.")
        require_coordinator_besides(household.coop, leaving={"household": household})
        close_household(household, by=by)
        members = list(household.members.filter(left_at__isnull=True))
        withdraw_invitations_by(members)
        for member in members:
            member.left_at = household.left_at
            for role in ROLES:
                setattr(member, role, False)
            member.save(update_fields=["left_at", *ROLES])
            hooks.tell_member_changed(member)
        hooks.tell_came_or_left(household.coop)
        return household


def close_household(household: Household, *, by: Member) -> None:
    """Write that a household has left, inside the transaction of its cause. Raises StillOpen."""
    if reasons := reasons_to_stay(household):
        raise StillOpen(reasons)
    household.left_at = timezone.now()
    household.save(update_fields=["left_at"])
    record_change(household, "The household left the co-op.", coop=household.coop, by=by)


def withdraw_invitations_by(members: list[Member]) -> None:
    """What members who leave have sent and nobody used opens nothing any more."""
    unused = Invitation.objects.filter(accepted_at__isnull=True, withdrawn_at__isnull=True)
    unused.filter(invited_by__in=members).update(withdrawn_at=timezone.now())


def require_coordinator_besides(coop: Coop, *, leaving: dict[str, object]) -> None:
    """Raise LastCoordinator unless somebody coordinates who is not among `leaving` (a filter).

    The caller holds the lock of the co-op's row, so that two coordinators cannot take each other
    off at one moment.
    """
    coordinators = coop.members.filter(coordinator=True, left_at__isnull=True)
    if not coordinators.exclude(**leaving).exists():
        raise LastCoordinator(
            "Nobody would be left to coordinate. Make another member coordinator first."
        )
