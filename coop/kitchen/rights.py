"""Who may do what in the kitchen. Everybody in the co-op may see plans, loads and lots."""

from __future__ import annotations

from coop.kitchen.models import Load, Lot
from coop.people.models import Household, Member
from coop.people.rights import can_edit_household, require


def can_act_for(member: Member, household: Household) -> bool:
    """Plan, put up, try seals and take from the shelf: its members, and coordinators."""
    return can_edit_household(member, household)


def can_keep_kitchens(member: Member) -> bool:
    """Say where the co-op cooks, and how high that is."""
    return member.host or member.coordinator


def can_keep_kitchen(member: Member, household_id: int | None) -> bool:
    """Keep one kitchen: a household's own by its members too (None: the co-op's)."""
    return can_keep_kitchens(member) or household_id == member.household_id


def can_change_load(member: Member, load: Load) -> bool:
    """Change a load as written down, or call it suspect: who wrote it, hosts, coordinators."""
    return load.by_id == member.pk or can_keep_kitchens(member)


def can_warn(member: Member) -> bool:
    """Warn everyone who has certain jars: coordinators, hosts and stewards."""
    return member.coordinator or member.host or member.steward


def require_act_for(member: Member, household: Household) -> None:
    """Raise NotAllowed unless the member may act for the household."""
    require(
        can_act_for(member, household),
        f"That is for the members of {household.name}, or for a coordinator on their behalf.",
    )


def require_keep_kitchen(member: Member, household_id: int | None) -> None:
    """Raise NotAllowed unless the member may keep a kitchen of the co-op, or of a household."""
    require(
        can_keep_kitchen(member, household_id),
        "Hosts and coordinators keep the co-op's kitchens, and each household its own.",
    )


def require_change_load(member: Member, load: Load) -> None:
    """Raise NotAllowed unless the member may change the load."""
    require(
        can_change_load(member, load),
        "Whoever wrote this load down, a host or a coordinator can change it.",
    )


def require_warn(member: Member) -> None:
    """Raise NotAllowed unless the member may warn the others."""
    require(can_warn(member), "Coordinators, hosts and stewards send warnings. Tell one of them.")


def can_keep_lot(member: Member, lot: Lot) -> bool:
    """Count a lot, try its seals, tell its fate: who acts for its household, who wrote its load."""
    wrote = lot.load is not None and lot.load.by_id == member.pk
    return wrote or can_act_for(member, lot.household)


def can_suspect(member: Member, load: Load) -> bool:
    """Call a load suspect: who may change it, and stewards, who know the gauges."""
    return can_change_load(member, load) or member.steward


def require_keep_lot(member: Member, lot: Lot) -> None:
    """Raise NotAllowed unless the member may count and try the lot."""
    require(
        can_keep_lot(member, lot),
        f"That is for the members of {lot.household.name}, for whoever wrote the load down, or "
        "for a coordinator.",
    )


def require_suspect(member: Member, load: Load) -> None:
    """Raise NotAllowed unless the member may call the load suspect."""
    require(
        can_suspect(member, load),
        "Whoever wrote this load down, a steward, a host or a coordinator can call it suspect. "
        "Tell one of them.",
    )
