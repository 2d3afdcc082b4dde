"""What jars say before a household leaves (people's hooks)."""

from __future__ import annotations

from coop.jars.loan_words import lot_said
from coop.jars.queries.loans import of_household, open_loans, standing_of
from coop.people import hooks
from coop.people.models import Household


def register() -> None:
    """Put jars' part into the hooks of people; called once, when the app is ready."""
    hooks.reasons_to_stay.append(open_jars)


def open_jars(household: Household) -> list[str]:
    """Why the household cannot leave yet: jars that are out, or that somebody counts on.

    An ask that nobody has answered keeps nobody: it cannot be agreed to any more.
    """
    reasons = []
    for loan in open_loans(household.coop).filter(of_household(household)):
        standing, lends = standing_of(loan), loan.lender_id == household.pk
        other = loan.borrower if lends else loan.lender
        if standing.out:
            lot = lot_said(standing.out)
            said = f"{other} still has its {lot}" if lends else f"It still has {other}'s {lot}"
            reasons.append(f"{said}: give them back, or write down that they broke or are kept.")
        if standing.to_hand_over:
            lot = lot_said(standing.to_hand_over)
            said = f"It promised {other} {lot}" if lends else f"{other} keeps {lot} for it"
            reasons.append(f"{said}: hand them over, or call it off.")
    return reasons
