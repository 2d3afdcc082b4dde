"""Counts of jars: the newest, the history, and what a new count starts from."""

from __future__ import annotations

from dataclasses import replace

from django.db.models import QuerySet

from coop.jars.kinds import KINDS
from coop.jars.models import Count, CountedJars
from coop.jars.queries.stock import Held, Stock
from coop.jars.rights import require_act_for
from coop.people.models import Household, Member
from coop.people.queries.households import household_named

#: What most households have, for one that has never counted: common practice, no source.
USUAL_KINDS = ("half_pint_regular", "pint_regular", "pint_wide", "quart_regular", "quart_wide")


def household_to_act_for(member: Member, named: str) -> Household:
    """The household that an address names (its id as text, empty for the member's own).

    Absent, malformed and another co-op's are the same 404. Raises NotAllowed for one that the
    member may not act for.
    """
    household = household_named(member, named)
    require_act_for(member, household)
    return household


def counts_of(household: Household) -> QuerySet[Count]:
    """Every count of a household, the newest first, with its jars and lids."""
    return household.jar_counts.select_related("by").prefetch_related("jars", "lids")


def newest_count(household: Household) -> Count | None:
    """The newest count of a household; None where it has never counted."""
    return counts_of(household).first()


def kinds_of(household: Household) -> list[str]:
    """Kinds that a household has ever counted, in their order."""
    counted = CountedJars.objects.filter(count__household=household).order_by()
    kinds = set(counted.values_list("kind", flat=True).distinct())
    return [kind for kind in KINDS if kind in kinds]


def kinds_to_count(stock: Stock) -> list[str]:
    """Kinds that come first on the page of counting: what the household has, or has ever had."""
    ever = {*kinds_of(stock.household), *stock.kinds} or {*USUAL_KINDS}
    return [kind for kind in KINDS if kind in ever]


def to_count(stock: Stock) -> dict[str, Held]:
    """What a new count starts from, by kind: what is in the house now.

    Promised jars are counted with the spare ones until they are handed over, for they are taken
    off again wherever spare jars are shown.
    """
    return {
        kind: replace(held, spare=min(held.empty, held.spare + stock.promised.get(kind, 0)))
        for kind, held in stock.kinds.items()
    }
