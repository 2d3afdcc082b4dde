"""What each household would get and pay if these containers were called in and came as promised."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coop.buying.models import Ask, Buy, Line, Supply
from coop.buying.queries.lines import core_ask, core_offer, cost_cents, needs_of, open_asks
from coop.buying.queries.lots import amount_of
from coop.buying.queries.season import carries_before
from coop.core import division
from coop.core.charges import share_by_weight, share_equally, trip_shares

Cents = dict[int, int]
Past = Mapping[int, tuple[int, int]]


@dataclass(frozen=True)
class LineEstimate:
    """One line: what each household (by id) gets and pays of it.

    `surplus` is what nobody asked for, `unclaimed_cents` what it costs. `missing` is by how much
    the amount is under what was promised at the least.
    """

    line: Line
    amount: int
    goods_cents: int
    shares: dict[int, int]
    cents: Cents
    surplus: int
    unclaimed_cents: int
    missing: int = 0


@dataclass(frozen=True)
class Estimate:
    """A whole buy: its lines, its trips, and what each household would pay."""

    lines: tuple[LineEstimate, ...]
    trip_cents: int
    trip_cents_by_household: Cents
    cents_by_household: Cents
    unclaimed_cents: int

    @property
    def total_cents(self) -> int:
        """Goods and trips, with what nobody asked for."""
        return sum(self.cents_by_household.values()) + self.unclaimed_cents


def estimate_of(
    buy: Buy,
    lines: Sequence[Line],
    counts: Mapping[int, int],
    *,
    pasts: Mapping[int, Past] | None = None,
) -> Estimate:
    """Divide what these containers hold, and share what they cost, as the buy's rules say.

    The lines come from `lines_of`, the season so far from `pasts_of`; without it, nobody counts as
    short so far.
    """
    pasts = pasts or {}
    found = [
        line_estimate(line, counts, rule=buy.shortage_rule, past=pasts.get(line.pk))
        for line in lines
    ]
    total = _trip_total(lines, counts)
    trips = _trips(buy, found, counts, total=total)
    return Estimate(
        lines=tuple(found),
        trip_cents=total,
        trip_cents_by_household=trips,
        cents_by_household=_added([*(each.cents for each in found), trips]),
        unclaimed_cents=sum(each.unclaimed_cents for each in found) + total - sum(trips.values()),
    )


def pasts_of(buy: Buy, lines: Iterable[Line]) -> dict[int, Past]:
    """The season so far of each line, where the buy's rule goes by it. Two queries a line."""
    if buy.shortage_rule != division.Rule.SEASON:
        return {}
    return {line.pk: past_of(line) for line in lines}


def past_of(line: Line) -> Past:
    """What each household asked and received earlier this season."""
    return {
        household: (carry.asked, carry.received)
        for household, carry in carries_before(line).items()
    }


def line_estimate(
    line: Line, counts: Mapping[int, int], *, rule: str, past: Past | None = None
) -> LineEstimate:
    """Divide what these containers of a line hold, and share what they cost by it."""
    amount = amount_of(line, counts)
    goods, _ = cost_cents(line.supplies.all(), counts)
    asks = open_asks(line)
    shares, missing = _divided(amount, asks, step=line.step, rule=rule, past=past or {})
    surplus = max(0, amount - needs_of(line).bears)
    charged = share_by_weight(goods, [*shares, surplus]) if goods and any(shares) else None
    cents = charged[:-1] if charged else [0] * len(asks)
    households = [ask.household_id for ask in asks]
    return LineEstimate(
        line=line,
        amount=amount,
        goods_cents=goods,
        shares=dict(zip(households, shares, strict=True)),
        cents=dict(zip(households, cents, strict=True)),
        surplus=surplus,
        unclaimed_cents=goods - sum(cents),
        missing=missing,
    )


def _divided(
    amount: int, asks: Sequence[Ask], *, step: int, rule: str, past: Past
) -> tuple[list[int], int]:
    """The shares, and what is missing of the minimums: then it divides as if there were none."""
    claims = [core_ask(ask, step=step, past=past.get(ask.household_id, (0, 0))) for ask in asks]
    try:
        return list(division.divide(amount, claims, division.Rule(rule)).shares), 0
    except division.CannotCover as refusal:
        eased = [
            division.Ask(
                claim.wanted,
                at_most=claim.at_most,
                step=claim.step,
                past_asked=claim.past_asked,
                past_received=claim.past_received,
            )
            for claim in claims
        ]
        shares = division.divide(amount, eased, division.Rule(rule)).shares
        return list(shares), refusal.short_by


def _added(parts: Iterable[Mapping[int, int]]) -> Cents:
    total: defaultdict[int, int] = defaultdict(int)
    for part in parts:
        for household, cents in part.items():
            total[household] += cents
    return dict(total)


# ---- trips ----------------------------------------------------------------------------------
def _bought_from(line: Line, counts: Mapping[int, int]) -> list[Supply]:
    return [supply for supply in line.supplies.all() if counts.get(supply.pk)]


def _trip_total(lines: Iterable[Line], counts: Mapping[int, int]) -> int:
    return cost_cents((supply for line in lines for supply in line.supplies.all()), counts)[1]


def _trips(
    buy: Buy, found: Sequence[LineEstimate], counts: Mapping[int, int], *, total: int
) -> Cents:
    """Share the trips on the buy's basis among the households that get something."""
    getting = sorted({home for each in found for home, share in each.shares.items() if share})
    if not total or not getting:
        return {}
    weights = _weights(buy, found, getting, counts)
    parts = share_by_weight(total, weights) if any(weights) else share_equally(total, len(getting))
    return dict(zip(getting, parts, strict=True))


def _weights(
    buy: Buy, found: Sequence[LineEstimate], getting: Sequence[int], counts: Mapping[int, int]
) -> Sequence[Fraction]:
    """What each household weighs on the buy's basis for trips; nothing means equally."""
    match Buy.Basis(buy.fuel_basis):
        case Buy.Basis.EQUALLY:
            return []
        case Buy.Basis.BY_SHARE:
            goods = _added(each.cents for each in found)
            return [Fraction(goods.get(home, 0)) for home in getting]
        case Buy.Basis.BY_TRIP:
            return trip_shares([_longest_trip(home, found, counts) for home in getting])


def _longest_trip(
    household: int, found: Sequence[LineEstimate], counts: Mapping[int, int]
) -> Fraction:
    trips = [
        supply.trip_cents
        for each in found
        if each.shares.get(household)
        for supply in _bought_from(each.line, counts)
    ]
    return Fraction(max(trips, default=0))


def price_each(supply: Supply, counts: Mapping[int, int]) -> int:
    """What one container of a supply costs at these counts, in cents."""
    return core_offer(supply).cents_each(counts.get(supply.pk, 0))
