"""All costs of a buy on one page: bills, charges, payments, and what each household comes to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from django.db.models import QuerySet, Sum

from coop.buying.models import Buy, BuyPayment, Charge, Farm, Line, SpareClaim
from coop.buying.queries.line_costs import LineCost, claims_to_charge, line_costs
from coop.buying.queries.shares import amounts_got, standing_divisions
from coop.buying.queries.tally import LineCame, lines_came
from coop.money.models import Movement
from coop.people.models import Household

PRODUCE = frozenset({Charge.What.PRODUCE, Charge.What.CLAIM})
FEES = frozenset({Charge.What.LATE_CHANGE, Charge.What.NO_SHOW})


@dataclass
class HouseholdCost:
    """What a buy comes to for one household, in cents, and what it paid."""

    household: Household
    amounts: list[tuple[Line, int]] = field(default_factory=list)
    produce_cents: int = 0
    shared_cents: int = 0
    fee_cents: int = 0
    credit_cents: int = 0
    paid_cents: int = 0

    @property
    def extras_cents(self) -> int:
        """Fees that it pays less its part of others' fees and of farms' credits."""
        return self.fee_cents - self.credit_cents

    @property
    def total_cents(self) -> int:
        """What it costs in all."""
        return self.produce_cents + self.shared_cents + self.extras_cents


@dataclass(frozen=True)
class FarmBill:
    """What a farm charges for a buy, less its credits, and what it was paid."""

    farm: Farm
    bill_cents: int
    paid_cents: int

    @property
    def open_cents(self) -> int:
        """What it is still to be paid; below zero it owes that much."""
        return self.bill_cents - self.paid_cents


@dataclass(frozen=True)
class BuyCosts:
    """Everything that the page of costs shows."""

    lines: Sequence[LineCame]
    charged: Mapping[int, LineCost]
    to_charge: Sequence[LineCame]
    claims_to_charge: Sequence[SpareClaim]
    farms: Sequence[FarmBill]
    households: Sequence[HouseholdCost]
    charges: Sequence[Charge]
    payments: Sequence[BuyPayment]
    on_table_cents: int

    @cached_property
    def bill_cents(self) -> int:
        """What the farms charge in all, less their credits."""
        return sum(farm.bill_cents for farm in self.farms)

    @cached_property
    def total(self) -> HouseholdCost:
        """The sums over the households."""
        total = HouseholdCost(Household(name="Together"))
        for each in self.households:
            total.produce_cents += each.produce_cents
            total.shared_cents += each.shared_cents
            total.fee_cents += each.fee_cents
            total.credit_cents += each.credit_cents
            total.paid_cents += each.paid_cents
        return total

    @property
    def is_to_charge(self) -> bool:
        """Whether something is still to be charged."""
        return bool(self.to_charge or self.claims_to_charge)


def costs_of(buy: Buy) -> BuyCosts:
    """The costs of a buy as the books have them; in a fixed number of queries."""
    came = lines_came(buy)
    charged = line_costs(buy)
    divided = {division.line_id for division in standing_divisions(buy)}
    return BuyCosts(
        lines=came,
        charged=charged,
        to_charge=[
            each
            for each in came
            if each.line.pk in divided and each.bill_cents and each.line.pk not in charged
        ],
        claims_to_charge=claims_to_charge(buy),
        farms=farm_bills(buy, came),
        households=household_costs(buy, [each.line for each in came]),
        charges=list(
            buy.charges.select_related("entry__made_by", "entry__reversed_by", "line").order_by(
                "pk"
            )
        ),
        payments=list(_payments(buy)),
        on_table_cents=sum(max(0, cost.cents.get(buy.account_id, 0)) for cost in charged.values()),
    )


def _payments(buy: Buy) -> QuerySet[BuyPayment]:
    return buy.payments.select_related(
        "entry__made_by", "entry__reversed_by", "farm", "household", "taken_by"
    ).order_by("pk")


# ---- Farms ----------------------------------------------------------------------------------
def farm_bills(buy: Buy, came: Sequence[LineCame]) -> list[FarmBill]:
    """The bill of every farm that anything came from, or that was paid."""
    bills: defaultdict[Farm, int] = defaultdict(int)
    for each in (supply for line in came for supply in line.supplies):
        if each.bill_cents or each.supply.called_in:
            bills[each.supply.farm] += each.bill_cents
    given_back = _by_target(buy)
    paid = _paid_by_farm(buy)
    return [
        FarmBill(
            farm,
            bill_cents - given_back.get(farm.account_id, 0),
            paid.get(farm.account_id, 0),
        )
        for farm, bill_cents in sorted(bills.items(), key=lambda pair: pair[0].name)
    ]


def _by_target(buy: Buy) -> dict[int, int]:
    given = Movement.objects.filter(
        source=buy.account_id, entry__charge__buy=buy, entry__charge__reversed_at__isnull=True
    )
    sums = given.order_by().values_list("target_id").annotate(cents=Sum("cents"))
    return dict(sums)


def _paid_by_farm(buy: Buy) -> dict[int, int]:
    standing = Movement.objects.filter(
        entry__buy_payment__buy=buy,
        entry__buy_payment__farm__isnull=False,
        entry__reversed_by__isnull=True,
    )
    paid: defaultdict[int, int] = defaultdict(int)
    sums = standing.order_by().values_list("source_id", "target_id").annotate(cents=Sum("cents"))
    for source_id, target_id, cents in sums:
        paid[target_id] += cents
        paid[source_id] -= cents
    return dict(paid)


# ---- Households -----------------------------------------------------------------------------
def household_costs(buy: Buy, lines: Sequence[Line]) -> list[HouseholdCost]:
    """What the buy comes to for every household that has a part in it, by name."""
    got = amounts_got(buy)
    received = _cents_by(buy, "target__household", "entry__charge__what")
    gave = _cents_by(buy, "source__household", "entry__charge__what")
    paid = _paid_by_household(buy)
    ids = {who for amounts in got.values() for who in amounts}
    ids |= {who for who, _ in [*received, *gave]} | set(paid)
    found = []
    for household in Household.objects.filter(pk__in=ids).order_by("name", "pk"):
        cost = HouseholdCost(household, paid_cents=paid.get(household.pk, 0))
        cost.amounts = [
            (line, amount)
            for line in lines
            if (amount := got.get(line.pk, {}).get(household.pk, 0))
        ]
        for what in Charge.What:
            cents = received.get((household.pk, what), 0), gave.get((household.pk, what), 0)
            _add(cost, what, received_cents=cents[0], gave_cents=cents[1])
        found.append(cost)
    return found


def _add(cost: HouseholdCost, what: Charge.What, *, received_cents: int, gave_cents: int) -> None:
    """Put what a household received and gave in charges of one kind where it belongs."""
    if what in PRODUCE:
        cost.produce_cents += received_cents - gave_cents
    elif what in FEES:
        cost.fee_cents += received_cents - gave_cents
    elif what == Charge.What.CREDIT:
        cost.credit_cents += gave_cents - received_cents
    else:
        cost.shared_cents += received_cents
        cost.paid_cents += gave_cents


def _cents_by(buy: Buy, side: str, what: str) -> dict[tuple[int, str], int]:
    sums = (
        Movement.objects.filter(
            entry__charge__buy=buy,
            entry__charge__reversed_at__isnull=True,
            **{f"{side}__isnull": False},
        )
        .order_by()
        .values_list(side, what)
        .annotate(cents=Sum("cents"))
    )
    return {(household, kind): cents for household, kind, cents in sums}


def _paid_by_household(buy: Buy) -> dict[int, int]:
    """What households put into the till or fronted to a farm, less what they took from one."""
    standing = Movement.objects.filter(entry__buy_payment__buy=buy, entry__reversed_by__isnull=True)
    sums = (
        standing.order_by()
        .values_list("source__household", "target__household")
        .annotate(cents=Sum("cents"))
    )
    paid: defaultdict[int, int] = defaultdict(int)
    for giver, taker, cents in sums:
        if giver is not None:
            paid[giver] += cents
        if taker is not None:
            paid[taker] -= cents
    return dict(paid)
