"""Sharing any other cost of a buy on one of its bases."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from coop.buying.errors import Refused
from coop.buying.models import Buy, Farm, Line, Supply
from coop.buying.queries.produce_costs import lot_costs, rotated
from coop.buying.queries.shares import amounts_got
from coop.core.charges import share_by_weight, share_equally, trip_cents

Cents = dict[int, int]


@dataclass(frozen=True)
class SharedCost:
    """What each household pays of a cost, by its id, and the sentence that says why."""

    cents_by_household: Cents
    sentence: str


def share_cost(buy: Buy, cents: int, basis: Buy.Basis) -> SharedCost:
    """Share a cost among the households that got something. Raises Refused where it cannot be."""
    by_line = amounts_got(buy)
    households = sorted({who for got in by_line.values() for who, amount in got.items() if amount})
    if not households:
        raise Refused("Nobody got anything of this buy, so there is nobody to share a cost.")
    share = {
        Buy.Basis.BY_SHARE: _by_share,
        Buy.Basis.EQUALLY: _equally,
        Buy.Basis.BY_TRIP: _by_trip,
    }[Buy.Basis(basis)]
    return share(buy, cents, households, by_line)


def _zip(households: list[int], cents: list[int], sentence: str) -> SharedCost:
    return SharedCost(dict(zip(households, cents, strict=True)), sentence)


def _equally(
    buy: Buy, cents: int, households: list[int], _by_line: dict[int, dict[int, int]]
) -> SharedCost:
    parts = share_equally(cents, len(households), rotated(len(households), buy.pk))
    return _zip(households, parts, "Everybody who got something pays the same.")


def _by_share(
    buy: Buy, cents: int, households: list[int], by_line: dict[int, dict[int, int]]
) -> SharedCost:
    """By amounts where all are of one measure, else by cost: pounds and pieces do not add up."""
    measures = set(Line.objects.filter(pk__in=by_line).values_list("measure", flat=True))
    if len(measures) == 1:
        weights = _summed(by_line)
        sentence = "Each pays by the amount it got."
    else:
        weights = _summed({lot.line.pk: dict(lot.cents_by_household) for lot in lot_costs(buy)})
        sentence = "Pounds and pieces do not add up, so each pays by what its produce cost."
    if not any(weights.get(household) for household in households):
        raise Refused("The produce cost nothing, so it cannot be shared by that. Share equally.")
    order = rotated(len(households), buy.pk)
    parts = share_by_weight(cents, [weights.get(household, 0) for household in households], order)
    return _zip(households, parts, sentence)


def _summed(by_line: dict[int, dict[int, int]]) -> Cents:
    total: defaultdict[int, int] = defaultdict(int)
    for amounts in by_line.values():
        for household, amount in amounts.items():
            total[household] += amount
    return dict(total)


def _by_trip(
    buy: Buy, cents: int, households: list[int], by_line: dict[int, dict[int, int]]
) -> SharedCost:
    """The airport rule over the longest round trip among the farms that each drew from."""
    farthest = farthest_miles(buy)
    miles = [
        max(farthest.get(line_id, 0) for line_id, got in by_line.items() if got.get(household))
        for household in households
    ]
    if not any(miles):
        raise Refused(
            "No farm of this buy has the miles of its trip written down. Write them with the farm, "
            "or share equally.",
            field="basis",
        )
    parts = trip_cents(cents, miles, rotated(len(households), buy.pk))
    return _zip(
        households,
        parts,
        "Each stretch of road is shared equally by those who needed it, out to the farthest farm "
        "that each drew from.",
    )


def farthest_miles(buy: Buy) -> dict[int, int]:
    """By line, the round trip to the farthest farm that anything came from."""
    farthest: defaultdict[int, int] = defaultdict(int)
    came = Supply.objects.filter(line__buy=buy).filter(
        Q(tally__containers__gt=0) | Q(tally__bill_cents__gt=0)
    )
    for line_id, miles in came.values_list("line_id", "farm__round_trip_miles"):
        farthest[line_id] = max(farthest[line_id], miles)
    return dict(farthest)


def trip_words(buy: Buy) -> list[tuple[str, int, int]]:
    """The farms that anything came from: name, miles there and back, cents by the co-op's rate."""
    farms = (
        Farm.objects.filter(supplies__line__buy=buy, supplies__tally__containers__gt=0)
        .distinct()
        .order_by("name", "pk")
    )
    rate_cents = buy.coop.trip_cents_per_mile
    return [
        (farm.name, farm.round_trip_miles, farm.round_trip_miles * rate_cents) for farm in farms
    ]
