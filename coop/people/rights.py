"""Who may do what with people. Everybody in a co-op may see its households and their members."""

from __future__ import annotations

from coop.people.errors import NotAllowed
from coop.people.models import Household, Invitation, Member

ASK_A_COORDINATOR = "Only a coordinator of the co-op can do this. Ask one of them."


def can_change_settings(member: Member) -> bool:
    """Change the co-op's name, zone, currency, altitude, steps of division, cents a mile."""
    return member.coordinator


def can_invite_households(member: Member) -> bool:
    """Invite a new household, and give roles with an invitation."""
    return member.coordinator


def can_invite_into(member: Member, household: Household) -> bool:
    """Invite one more person into a household: its own members, and coordinators."""
    return can_edit_household(member, household)


def can_edit_household(member: Member, household: Household) -> bool:
    """Change a household's name, phone, address and note: its own members, and coordinators."""
    return member.household_id == household.pk or (
        member.coordinator and member.coop_id == household.coop_id
    )


def can_end_household(member: Member, household: Household) -> bool:
    """Have a household leave the co-op: its own members, and coordinators."""
    return can_edit_household(member, household)


def can_set_roles(member: Member) -> bool:
    """Say who is coordinator, treasurer, steward, host."""
    return member.coordinator


def can_take_off(member: Member, other: Member) -> bool:
    """Leave oneself, or take somebody off the list as a coordinator."""
    return member.pk == other.pk or (member.coordinator and member.coop_id == other.coop_id)


def can_withdraw(member: Member, invitation: Invitation) -> bool:
    """Withdraw an invitation or send it again: coordinators, and whoever sent it."""
    return member.coordinator or invitation.invited_by_id == member.pk


def require(is_allowed: bool, sentence: str = ASK_A_COORDINATOR) -> None:
    """Raise NotAllowed with the sentence, unless it is allowed."""
    if not is_allowed:
        raise NotAllowed(sentence)
