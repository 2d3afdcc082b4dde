"""What the first page of Jars says of one household."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from coop.jars.queries.loans import Side, of_household, open_loans, sides_of
from coop.jars.queries.stock import Held, Stock, stock_of
from coop.people.models import Household


@dataclass(frozen=True)
class Overview:
    """What a household has, and its open loans: those first that want something of it."""

    stock: Stock
    loans: tuple[Side, ...]

    @property
    def is_begun(self) -> bool:
        """Whether there is anything to show: a count, or jars that were borrowed."""
        return self.stock.counted_at is not None or bool(self.held)

    @property
    def held(self) -> Mapping[str, Held]:
        """Kinds of which it has some."""
        kinds = self.stock.kinds.items()
        return {kind: held for kind, held in kinds if held.full or held.empty}

    @property
    def lent(self) -> int:
        """Jars of the household that others have now."""
        return sum(sum(side.standing.out.values()) for side in self.loans if side.is_lender)

    @property
    def borrowed(self) -> int:
        """Jars of others that the household has now."""
        return sum(sum(side.standing.out.values()) for side in self.loans if not side.is_lender)


def overview_of(household: Household, today: date) -> Overview:
    """What a household has, lends and borrows: a fixed number of queries."""
    loans = open_loans(household.coop).filter(of_household(household))
    return Overview(stock_of(household), tuple(sides_of(loans, household, today)))
