"""Whether a buy is covered: what its households would pay, and what stands behind it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from coop.buying.models import Buy, Charge, Line
from coop.buying.queries.estimate import Cents, Estimate, estimate_of, pasts_of
from coop.buying.queries.lines import lines_of, supplies_of
from coop.buying.queries.lots import counts_of, plans_of
from coop.money.models import Account
from coop.money.queries.balances import accounts_with_balances


@dataclass(frozen=True)
class Cover:
    """What each household would pay, and how much of it its balance covers.

    `unclaimed_cents` is what nobody would pay: a surplus that nobody asked for. `fronted_cents` is
    how much the fronting household puts up at most; 0 where nobody fronts.
    """

    estimated_cents_by_household: Cents
    covered_cents_by_household: Cents
    unclaimed_cents: int
    fronted_cents: int

    @property
    def estimated_cents(self) -> int:
        """What the buy would cost in all."""
        return sum(self.estimated_cents_by_household.values()) + self.unclaimed_cents

    @property
    def covered_cents(self) -> int:
        """What balances and prepayments cover of it."""
        return sum(self.covered_cents_by_household.values())

    @property
    def short_cents(self) -> int:
        """What nobody stands behind; 0 where the buy is covered."""
        return max(0, self.estimated_cents - self.covered_cents - self.fronted_cents)

    @property
    def is_covered(self) -> bool:
        """Whether all of it is covered."""
        return self.short_cents == 0

    def short_cents_of(self, household_id: int) -> int:
        """What one household would still have to pay in before its part is covered."""
        estimated = self.estimated_cents_by_household.get(household_id, 0)
        return estimated - self.covered_cents_by_household.get(household_id, 0)


def cover_of(buy: Buy, counts: Mapping[int, int] | None = None) -> Cover:
    """The cover of a buy if these containers (by supply) were called in; the recommended, if none.

    What is covered is a household's balance above zero, less what it is about to be charged for
    other buys that are called in and not charged yet. Reads in a fixed number of queries, plus two
    for each line whose shortage goes by the season.
    """
    lines = lines_of([buy])
    if counts is None:
        counts = counts_of(plans_of(lines))
    return cover_for(buy, estimate_of(buy, lines, counts, pasts=pasts_of(buy, lines)))


def cover_for(buy: Buy, estimate: Estimate) -> Cover:
    """The cover of a buy for an estimate that is made already."""
    balances = _balances(buy)
    pledged = pledged_cents(buy)
    covered = {
        household: min(cents, max(0, balances.get(household, 0) - pledged.get(household, 0)))
        for household, cents in estimate.cents_by_household.items()
    }
    fronted = buy.front_limit_cents if buy.cover == Buy.Cover.FRONTED else 0
    return Cover(
        estimated_cents_by_household=estimate.cents_by_household,
        covered_cents_by_household=covered,
        unclaimed_cents=estimate.unclaimed_cents,
        fronted_cents=fronted or 0,
    )


def _balances(buy: Buy) -> Cents:
    accounts = accounts_with_balances(buy.coop).filter(kind=Account.Kind.HOUSEHOLD)
    return {
        household: balance
        for household, balance in accounts.values_list("household_id", "balance_cents")
        if household is not None
    }


def pledged_cents(buy: Buy) -> Cents:
    """What the co-op's other buys, called in and not charged yet, will ask of each household."""
    charged = Charge.objects.filter(
        what=Charge.What.PRODUCE, entry__reversed_by__isnull=True
    ).values("buy_id")
    stages = (Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)
    others = list(
        Buy.objects.filter(coop=buy.coop_id, stage__in=stages)
        .exclude(pk=buy.pk)
        .exclude(pk__in=charged)
    )
    by_id = {other.pk: other for other in others}
    total: defaultdict[int, int] = defaultdict(int)
    for buy_id, group in groupby(lines_of(others), key=lambda line: line.buy_id):
        for household, cents in _as_called_in(by_id[buy_id], list(group)).items():
            total[household] += cents
    return dict(total)


def _as_called_in(buy: Buy, lines: list[Line]) -> Cents:
    counts = {supply.pk: supply.called_in or 0 for supply in supplies_of(lines)}
    return estimate_of(buy, lines, counts).cents_by_household
