"""How a buy stands while asks come in: containers, price breaks, and what each would pay."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from coop.buying.models import Buy, Line, Supply
from coop.buying.queries.cover import Cover, cover_for
from coop.buying.queries.estimate import Estimate, estimate_of, pasts_of, price_each
from coop.buying.queries.lines import core_offer, lines_of, open_asks
from coop.buying.queries.lots import (
    Counts,
    LinePlans,
    amount_of,
    called_in_counts,
    counts_of,
    plans_of,
)
from coop.core.lots import PriceBreak, next_price_break
from coop.people.models import Household


@dataclass(frozen=True)
class SupplyStanding:
    """One supply: what would be bought of it now, and what its next price break needs.

    `asked_for` is how much more must be asked (or borne) before the break can be reached.
    """

    supply: Supply
    count: int
    cents_each: int
    next_break: PriceBreak | None
    asked_for: int


@dataclass(frozen=True)
class LineStanding:
    """One line: its plans, and its asks against whole containers of its main supply."""

    plans: LinePlans
    amount: int
    supplies: tuple[SupplyStanding, ...]

    @property
    def line(self) -> Line:
        """The line itself."""
        return self.plans.line

    @property
    def short(self) -> int:
        """What is missing of what is wanted."""
        return max(0, self.plans.needs.wanted - self.amount)

    @property
    def main(self) -> Supply | None:
        """The supply that most would be bought of, else the first."""
        first = max(self.supplies, key=lambda each: each.count * each.supply.size, default=None)
        return first.supply if first else None

    @property
    def filled(self) -> Fraction:
        """What is wanted, in containers of the main supply."""
        return Fraction(self.plans.needs.wanted, self.main.size) if self.main else Fraction(0)

    @property
    def containers(self) -> int:
        """Whole containers that would hold all that is wanted; at least one, to show it empty."""
        return max(1, -(-self.filled.numerator // self.filled.denominator))


@dataclass(frozen=True)
class HouseholdStanding:
    """One household: what it would get of each line, and pay in all, if the buy closed now."""

    household: Household
    gets: tuple[tuple[Line, int, int], ...]
    cents: int
    short_cents: int


@dataclass(frozen=True)
class Standing:
    """A buy as it stands."""

    lines: tuple[LineStanding, ...]
    households: tuple[HouseholdStanding, ...]
    estimate: Estimate
    cover: Cover
    counts: Counts


def standing_of(buy: Buy) -> Standing:
    """How a buy stands with what was called in; before that, with the recommended containers."""
    lines = lines_of([buy])
    plans = plans_of(lines)
    counts = called_in_counts(lines) or counts_of(plans)
    estimate = estimate_of(buy, lines, counts, pasts=pasts_of(buy, lines))
    cover = cover_for(buy, estimate)
    return Standing(
        lines=tuple(_line_standing(each, counts) for each in plans),
        households=tuple(households_in(estimate, lines, cover)),
        estimate=estimate,
        cover=cover,
        counts=counts,
    )


def _line_standing(plans: LinePlans, counts: Counts) -> LineStanding:
    return LineStanding(
        plans,
        amount_of(plans.line, counts),
        tuple(_supply_standing(supply, counts, plans) for supply in plans.line.supplies.all()),
    )


def _supply_standing(supply: Supply, counts: Counts, plans: LinePlans) -> SupplyStanding:
    count = counts.get(supply.pk, 0)
    nearest = next_price_break(core_offer(supply), count)
    more = nearest.more * supply.size if nearest else 0
    asked_for = max(0, amount_of(plans.line, counts) + more - plans.needs.bears)
    return SupplyStanding(supply, count, price_each(supply, counts), nearest, asked_for)


def households_in(estimate: Estimate, lines: list[Line], cover: Cover) -> list[HouseholdStanding]:
    """Everybody who asks, by name, with what they would get and pay."""
    homes = {ask.household_id: ask.household for line in lines for ask in open_asks(line)}
    wanted = {(line.pk, ask.household_id): ask.wanted for line in lines for ask in open_asks(line)}
    return [
        HouseholdStanding(
            household=home,
            gets=tuple(
                (each.line, each.shares[home.pk], wanted[each.line.pk, home.pk])
                for each in estimate.lines
                if home.pk in each.shares
            ),
            cents=estimate.cents_by_household.get(home.pk, 0),
            short_cents=cover.short_cents_of(home.pk),
        )
        for home in sorted(homes.values(), key=lambda home: (home.name.lower(), home.pk))
    ]
