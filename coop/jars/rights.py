"""Who may do what with jars. Everybody in the co-op may see the counts and the loans."""

from __future__ import annotations

from coop.jars.models import Loan
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


def can_write_on(member: Member, loan: Loan) -> bool:
    """End a loan, hand over, return and break: either side of it, and coordinators."""
    return can_act_for(member, loan.lender) or can_act_for(member, loan.borrower)


def can_answer(member: Member, loan: Loan) -> bool:
    """Agree to a loan: the side that did not start it, and coordinators."""
    was_asked = loan.started == Loan.Started.ASKED
    return can_act_for(member, loan.lender if was_asked else loan.borrower)


def can_give_away(member: Member, loan: Loan) -> bool:
    """Let jars of a loan be kept: the lender, and coordinators."""
    return can_act_for(member, loan.lender)
