"""Who may do what with equipment. Everybody in the co-op may see all of it."""

from __future__ import annotations

from coop.equipment.models import Booking, Standby, Thing
from coop.people.models import Household, Member
from coop.people.rights import can_edit_household, require

FOR_ITS_KEEPERS = "That is for the household whose it is, the steward, or a coordinator."
FOR_ITS_HOUSEHOLD = "That is for the household that booked it, the steward, or a coordinator."
FOR_EITHER_SIDE = (
    "That is for the household that booked it, whoever keeps the thing, the steward, or a "
    "coordinator."
)
FOR_DEPOSITS = (
    "A deposit is given back by another household than the one that pays it: whoever keeps the "
    "thing, or the treasurer."
)


def is_steward(member: Member) -> bool:
    """Look after all equipment: stewards, and coordinators in their place."""
    return member.steward or member.coordinator


def can_add_things(member: Member) -> bool:
    """Add a thing of one's own household: everybody. One of the co-op: `is_steward`."""
    return member.left_at is None


def can_keep(member: Member, thing: Thing) -> bool:
    """Change a thing, its hours and parts, mend it, test it, retire it."""
    return is_steward(member) or thing.owner_id == member.household_id


def can_act_for(member: Member, household: Household) -> bool:
    """Book, stand by, move and cancel for a household: its members, stewards, coordinators."""
    return can_edit_household(member, household) or (
        member.steward and member.coop_id == household.coop_id
    )


def can_change(member: Member, booking: Booking) -> bool:
    """Move, shorten, end and cancel a booking."""
    return can_act_for(member, booking.household)


def can_give_up(member: Member, standby: Standby) -> bool:
    """Leave a place in line."""
    return can_act_for(member, standby.household)


def can_hand_over(member: Member, booking: Booking) -> bool:
    """Write down that a thing goes out or comes back: either side of it, and stewards."""
    return can_change(member, booking) or can_keep(member, booking.thing)


def can_take_back(member: Member, booking: Booking, following: Booking | None) -> bool:
    """Write down that a thing comes back: either side, and who has it next, handed on to them."""
    return can_hand_over(member, booking) or (
        following is not None and can_act_for(member, following.household)
    )


def can_settle_deposit(member: Member, booking: Booking) -> bool:
    """Give a deposit back, whole or in part: keepers and treasurers, but nobody to themselves."""
    return booking.household_id != member.household_id and (
        can_keep(member, booking.thing) or member.treasurer
    )


def can_see_costs(member: Member, booking: Booking) -> bool:
    """See what a booking moved in the books: both sides, and whoever sees the books."""
    return can_hand_over(member, booking) or member.treasurer


def require_keep(member: Member, thing: Thing) -> None:
    """Raise NotAllowed unless the member may look after the thing."""
    require(can_keep(member, thing), FOR_ITS_KEEPERS)


def require_act_for(member: Member, household: Household) -> None:
    """Raise NotAllowed unless the member may act for the household."""
    require(
        can_act_for(member, household),
        f"That is for the members of {household}, the steward, or a coordinator.",
    )


def require_change(member: Member, booking: Booking) -> None:
    """Raise NotAllowed unless the member may change the booking."""
    require(can_change(member, booking), FOR_ITS_HOUSEHOLD)
