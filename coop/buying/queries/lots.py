"""Which containers to call in: the plans of a line, and the ones to recommend for a whole buy."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from coop.buying.models import Line, Supply
from coop.buying.queries.lines import Needs, core_offer, cost_cents, needs_of, supplies_of
from coop.core import lots

#: Every choice among farms that supply several lines is tried; 2 to the power of this many.
MOST_SHARED_FARMS = 6
#: Plans kept on each side of the recommended one; other counts are set by hand.
PLANS_BESIDE = 4

Counts = dict[int, int]


@dataclass(frozen=True)
class Plan:
    """Containers of each supply of a line (by id), and what they come to."""

    counts: Counts
    amount: int
    cost_cents: int
    short: int
    over: int

    @property
    def containers(self) -> int:
        """How many containers in all."""
        return sum(self.counts.values())


@dataclass(frozen=True)
class LinePlans:
    """The plans of one line, by amount, and the recommended one.

    `plans` holds the cheapest way to each of the amounts around the recommended one, up to one
    container more than the asks bear. `missing` is what the farms lack of what the asks need.
    """

    line: Line
    needs: Needs
    plans: tuple[Plan, ...]
    best: Plan
    missing: int = 0
    too_many: bool = False

    def over_asked(self, plan: Plan) -> int:
        """What the plan brings that nobody asked for."""
        return max(0, plan.amount - self.needs.bears)


def plans_of(lines: Iterable[Line]) -> list[LinePlans]:
    """The plans of each line, the trips to farms that supply several lines shared among them.

    The lines come from `lines_of`. Lines are planned one by one, but which of the shared farms to
    drive to is decided for all of them together: least short first, then the cheapest.
    """
    lines = list(lines)
    shared = _shared_farms(lines)
    if len(shared) > MOST_SHARED_FARMS:
        shared = ()
    choices = [
        _plans_when(lines, shared, visited)
        for visited in product((True, False), repeat=len(shared))
    ]
    return min(choices, key=_judged)


def counts_of(plans: Iterable[LinePlans]) -> Counts:
    """The recommended containers of a whole buy, by supply."""
    return {key: count for each in plans for key, count in each.best.counts.items()}


def called_in_counts(lines: Iterable[Line]) -> Counts:
    """The containers that were called in, by supply; empty before the call-in."""
    supplies = supplies_of(lines)
    if any(supply.called_in is None for supply in supplies):
        return {}
    return {supply.pk: supply.called_in or 0 for supply in supplies}


def _shared_farms(lines: Sequence[Line]) -> tuple[int, ...]:
    seen: dict[int, set[int]] = {}
    for supply in supplies_of(lines):
        seen.setdefault(supply.farm_id, set()).add(supply.line_id)
    return tuple(farm for farm, of_lines in sorted(seen.items()) if len(of_lines) > 1)


def _judged(plans: Sequence[LinePlans]) -> tuple[int, int, int, int]:
    supplies = supplies_of(each.line for each in plans)
    return (
        sum(each.missing for each in plans),
        sum(each.best.short for each in plans),
        sum(cost_cents(supplies, counts_of(plans))),
        sum(each.best.over for each in plans),
    )


def _plans_when(
    lines: Sequence[Line], shared: Sequence[int], visited: Sequence[bool]
) -> list[LinePlans]:
    driven_to = {farm for farm, is_visited in zip(shared, visited, strict=True) if is_visited}
    passed = set(shared) - driven_to
    return [_line_plans(line, driven_to, passed) for line in lines]


def _line_plans(line: Line, driven_to: set[int], passed: set[int]) -> LinePlans:
    """Plan one line. A farm that is driven to anyway costs no trip here; a passed one is out."""
    needs = needs_of(line)
    all_supplies = list(line.supplies.all())
    supplies = [supply for supply in all_supplies if supply.farm_id not in passed]
    offers = [_without_trip(supply, driven_to) for supply in supplies]
    lower, found, too_many = _search(needs, offers)
    keys = [supply.pk for supply in supplies]
    nothing = {supply.pk: 0 for supply in all_supplies}
    around, at = _around_best(found, needs)
    plans = tuple(_plan(each, keys, nothing) for each in around)
    best = plans[at] if plans else Plan(nothing, 0, 0, short=needs.wanted, over=0)
    missing = max(0, needs.lower - best.amount) if lower == 0 else 0
    return LinePlans(line, needs, plans, best, missing=missing, too_many=too_many)


def _around_best(found: Sequence[lots.LotPlan], needs: Needs) -> tuple[Sequence[lots.LotPlan], int]:
    """The recommended plan with its neighbours by amount, and its place among them.

    Recommended is the best that the asks bear; where they bear none, the best of all.
    """
    if not found:
        return (), 0
    best = next((plan for plan in found if plan.amount <= needs.bears), found[0])
    by_amount = sorted(found, key=lambda plan: plan.amount)
    at = bisect_left(by_amount, best.amount, key=lambda plan: plan.amount)
    first = max(0, at - PLANS_BESIDE)
    return by_amount[first : at + PLANS_BESIDE + 1], at - first


def _plan(plan: lots.LotPlan, keys: Sequence[int], nothing: Counts) -> Plan:
    counts = nothing | dict(zip(keys, plan.counts, strict=True))
    return Plan(counts, plan.amount, plan.cost_cents, plan.short, plan.over)


def _without_trip(supply: Supply, driven_to: set[int]) -> lots.Offer:
    offer = core_offer(supply)
    if supply.farm_id not in driven_to:
        return offer
    return lots.Offer(
        offer.container,
        offer.size,
        offer.prices,
        available=offer.available,
        at_least=offer.at_least,
        farm=offer.farm,
    )


def _search(needs: Needs, offers: Sequence[lots.Offer]) -> tuple[int, list[lots.LotPlan], bool]:
    """Plans from what is needed; from nothing up where the farms have not that much.

    Where the amounts are too many for one table, it says so and there is no plan.
    """
    room = max((offer.size for offer in offers), default=0)
    try:
        for lower in (needs.lower, 0):
            found = lots.lot_plans(lower, needs.wanted, needs.bears + room, offers)
            if found:
                return lower, found, False
    except ValueError:
        return 0, [], True
    return 0, [], False


# ---- counts chosen by hand ------------------------------------------------------------------
def problem_with(supply: Supply, count: int) -> str:
    """Why a farm does not sell this many containers, as a sentence; empty where it does."""
    if core_offer(supply).allows(count):
        return ""
    if supply.available is not None and count > supply.available:
        return f"{supply.farm.name} has only {supply.available} of these."
    return f"{supply.farm.name} sells {supply.at_least} of these or more, or none."


def amount_of(line: Line, counts: Mapping[int, int]) -> int:
    """What the containers of a line hold together, as promised."""
    return sum(counts.get(supply.pk, 0) * supply.size for supply in line.supplies.all())
