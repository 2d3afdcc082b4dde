"""Who may do what in buying. Everybody in the co-op may see everything of a buy."""

from __future__ import annotations

from coop.buying.errors import NotAllowed
from coop.buying.models import Ask, Buy
from coop.people.models import Household, Member

CHARGES_ARE_KEPT = "The treasurer, coordinators and the member who leads this buy do that."


def can_post_buys(member: Member) -> bool:
    """Post a buy, and keep the list of farms and offers."""
    return member.coordinator


def can_run(member: Member, buy: Buy) -> bool:
    """Close, call in, tally, divide, tick the pickup, call off: coordinators and who leads it."""
    return member.coordinator or buy.coordinator_id == member.pk


def can_charge(member: Member, buy: Buy) -> bool:
    """Share a cost of the buy, record that a farm was paid, take money in."""
    return member.treasurer or can_run(member, buy)


def can_ask_for(member: Member, household: Household) -> bool:
    """Ask, give up or claim for a household: its own members, and coordinators on its behalf."""
    return member.household_id == household.pk or (
        member.coordinator and member.coop_id == household.coop_id
    )


def require(allowed: bool, sentence: str) -> None:
    """Raise NotAllowed with the sentence unless it is allowed."""
    if not allowed:
        raise NotAllowed(sentence)


def require_post_buys(member: Member) -> None:
    """Raise NotAllowed unless the member may post buys and keep the price lists."""
    require(can_post_buys(member), "Coordinators keep the farms and post the buys.")


def require_run(member: Member, buy: Buy) -> None:
    """Raise NotAllowed unless the member may run the buy."""
    require(can_run(member, buy), "Coordinators and the member who leads this buy do that.")


def require_ask_for(member: Member, household: Household) -> None:
    """Raise NotAllowed unless the member may act for the household."""
    require(
        can_ask_for(member, household),
        f"That is for the members of {household.name}, or for a coordinator on their behalf.",
    )


def can_ease(member: Member, ask: Ask) -> bool:
    """Lower a minimum that the tally cannot keep: its household, and who runs the buy."""
    return can_ask_for(member, ask.household) or can_run(member, ask.line.buy)
