"""What the produce of a buy comes to for each household, before it is charged."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256

from coop.buying.errors import Refused
from coop.buying.models import Buy, Charge, Division, Farm, Line, Share
from coop.buying.queries.shares import amounts_got, standing_divisions
from coop.buying.queries.tally import LineCame, lines_came
from coop.core.charges import share_by_weight


@dataclass(frozen=True)
class LotCost:
    """The farms' bill for a line, and who bears how much of it.

    Whoever got nothing pays nothing. Culls and what rounding left over belong to the lot: everybody
    bears them by what they got. `on_table_cents` is for a surplus that nobody asked for and nobody
    has claimed: it stays on the buy's account. Where nothing at all was fit to share, the loss is
    shared by what each had asked for, and `by_asked` says so.
    """

    came: LineCame
    got: Mapping[int, int]
    cents_by_household: Mapping[int, int]
    on_table: int
    on_table_cents: int
    by_asked: bool

    @property
    def line(self) -> Line:
        """Which produce it is."""
        return self.came.line

    @property
    def bill_cents(self) -> int:
        """What the farms charge for it."""
        return self.came.bill_cents

    @property
    def cents_by_farm(self) -> dict[Farm, int]:
        """The bill of each farm."""
        bills: defaultdict[Farm, int] = defaultdict(int)
        for each in self.came.supplies:
            bills[each.supply.farm] += each.bill_cents
        return {farm: cents for farm, cents in bills.items() if cents}


def lot_costs(buy: Buy) -> list[LotCost]:
    """The cost of every divided line that has a bill; in a fixed number of queries.

    Raises Refused where there is a bill and nobody to bear it.
    """
    came = {each.line.pk: each for each in lines_came(buy)}
    got, asked = amounts_got(buy), _asked(buy)
    return [
        _lot_cost(came[division.line_id], division, got[division.line_id], asked[division.line_id])
        for division in standing_divisions(buy)
        if came[division.line_id].bill_cents
    ]


def lots_to_charge(buy: Buy) -> list[LotCost]:
    """Those of them whose produce is not charged yet."""
    charged = set(
        buy.charges.filter(what=Charge.What.PRODUCE, reversed_at__isnull=True).values_list(
            "line_id", flat=True
        )
    )
    return [lot for lot in lot_costs(buy) if lot.line.pk not in charged]


def _asked(buy: Buy) -> dict[int, dict[int, int]]:
    asked: defaultdict[int, dict[int, int]] = defaultdict(dict)
    shares = Share.objects.filter(division__line__buy=buy, division__withdrawn_at__isnull=True)
    for line_id, household_id, wanted in shares.values_list(
        "division__line_id", "household_id", "wanted"
    ):
        asked[line_id][household_id] = wanted
    return dict(asked)


def _lot_cost(
    came: LineCame, division: Division, got: Mapping[int, int], asked: Mapping[int, int]
) -> LotCost:
    unclaimed = came.usable - sum(got.values())
    on_table = max(0, min(unclaimed, division.surplus))
    by_asked = not any(got.values()) and not on_table
    weights = asked if by_asked else got
    if not any(weights.values()) and not on_table:
        raise Refused(
            f"Nobody got any {came.line.produce}, and nobody asked for it, so there is nobody to "
            "charge. Put its bill right in the tally."
        )
    households = sorted(weights)
    cents = share_by_weight(
        came.bill_cents,
        [*(weights[household] for household in households), on_table],
        [*rotated(len(households), came.line.buy_id), len(households)],
    )
    return LotCost(
        came=came,
        got=got,
        cents_by_household=dict(zip(households, cents[:-1], strict=True)),
        on_table=on_table,
        on_table_cents=cents[-1],
        by_asked=by_asked,
    )


def rotated(count: int, turn: int) -> list[int]:
    """The order in which odd cents are given out: it begins one place on from buy to buy.

    >>> rotated(3, 0), rotated(3, 1)
    ([0, 1, 2], [1, 2, 0])
    """
    return [(place + turn) % count for place in range(count)]


def digest_of_lots(lots: Sequence[LotCost]) -> str:
    """A name for these figures: what was looked at is what is charged, or nothing is."""
    return digest(
        (lot.line.pk, sorted(lot.cents_by_household.items()), lot.on_table_cents) for lot in lots
    )


def digest(figures: object) -> str:
    """A short name for any figures.

    >>> digest([1, 2]) == digest([1, 2]), digest([1, 2]) == digest([2, 1])
    (True, False)
    """
    text = repr(figures if isinstance(figures, dict) else list(figures))  # type: ignore[call-overload]
    return sha256(text.encode()).hexdigest()[:16]
