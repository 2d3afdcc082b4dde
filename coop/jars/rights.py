"""Who may do what with jars. Everybody in the co-op may see the counts and the loans."""

from __future__ import annotations

from coop.people.models import Household, Member
from coop.people.rights import can_edit_household, require


def can_act_for(member: Member, household: Household) -> bool:
    """Count, ask, offer, agree and hand over for a household: its members, and coordinators."""
    return can_edit_household(member, household)


def require_act_for(member: Member, household: Household) -> None:
    """Raise NotAllowed unless the member may act for the household."""
    require(
        can_act_for(member, household),
        f"That is for the members of {household.name}, or for a coordinator on their behalf.",
    )
