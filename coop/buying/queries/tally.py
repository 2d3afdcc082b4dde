"""What came, beside what was called in: by supply, by line, in base steps and cents."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Prefetch

from coop.buying.models import Buy, Line, Supply, Tally


@dataclass(frozen=True)
class SupplyCame:
    """One supply: what was promised and what came. `tally` is None until it was counted."""

    supply: Supply
    tally: Tally | None

    @property
    def promised(self) -> int:
        """What the containers called in would hold, as the farm states them."""
        return (self.supply.called_in or 0) * self.supply.size

    @property
    def promised_cents(self) -> int:
        """What the containers called in cost by the price list."""
        return cents_of(self.supply, self.supply.called_in or 0)

    @cached_property
    def delivered(self) -> int:
        """What the scale said, less tare."""
        if self.tally is None:
            return 0
        return sum(weighing.gross - weighing.tare for weighing in self.tally.weighings.all())

    @property
    def accepted(self) -> int:
        """Delivered less what was left with the farm."""
        return self.delivered - (self.tally.refused if self.tally else 0)

    @property
    def usable(self) -> int:
        """Accepted less the culls: this is what is divided."""
        return self.accepted - (self.tally.culls if self.tally else 0)

    @property
    def bill_cents(self) -> int:
        """What the farm really charges."""
        return self.tally.bill_cents if self.tally else 0

    @property
    def is_awaited(self) -> bool:
        """Whether containers were called in that nobody has counted yet."""
        return bool(self.supply.called_in) and self.tally is None


@dataclass(frozen=True)
class LineCame:
    """One line with all its supplies; sums over them."""

    line: Line
    supplies: Sequence[SupplyCame]

    @property
    def called_in(self) -> int:
        """Containers called in."""
        return sum(each.supply.called_in or 0 for each in self.supplies)

    @property
    def containers(self) -> int:
        """Containers that came."""
        return sum(each.tally.containers for each in self.supplies if each.tally)

    @property
    def container(self) -> str:
        """What its containers are called, where they are all of one kind."""
        kinds = {
            each.supply.container for each in self.supplies if each.supply.called_in or each.tally
        }
        return kinds.pop() if len(kinds) == 1 else "container"

    @property
    def promised(self) -> int:
        """What the containers called in would hold."""
        return sum(each.promised for each in self.supplies)

    @property
    def promised_cents(self) -> int:
        """What the containers called in cost by the price list."""
        return sum(each.promised_cents for each in self.supplies)

    @property
    def delivered(self) -> int:
        """What the scales said, less tare."""
        return sum(each.delivered for each in self.supplies)

    @property
    def refused(self) -> int:
        """What was left with the farms."""
        return sum(each.tally.refused for each in self.supplies if each.tally)

    @property
    def culls(self) -> int:
        """What was paid for and is fit for nobody."""
        return sum(each.tally.culls for each in self.supplies if each.tally)

    @property
    def soft(self) -> int:
        """What must be used today."""
        return sum(each.tally.soft for each in self.supplies if each.tally)

    @property
    def firm(self) -> int:
        """What can wait."""
        return sum(each.tally.firm for each in self.supplies if each.tally)

    @property
    def usable(self) -> int:
        """What there is to divide."""
        return sum(each.usable for each in self.supplies)

    @property
    def bill_cents(self) -> int:
        """What the farms really charge."""
        return sum(each.bill_cents for each in self.supplies)

    @property
    def is_awaited(self) -> bool:
        """Whether a supply of it was called in and not counted yet."""
        return any(each.is_awaited for each in self.supplies)


def cents_of(supply: Supply, count: int) -> int:
    """What so many containers cost: the price break that they reach holds for all of them."""
    reached = [price.cents_each for price in supply.prices.all() if price.from_count <= count]
    return count * reached[-1] if reached else 0


def lines_came(buy: Buy) -> list[LineCame]:
    """Every line of a buy with what came of it, in four queries and one a kind of row."""
    return [_came(line) for line in buy.lines.prefetch_related(_supplies("supplies"))]


def line_came(line: Line) -> LineCame:
    """One line with what came of it."""
    return _came(Line.objects.prefetch_related(_supplies("supplies")).get(pk=line.pk))


def supply_came(supply: Supply) -> SupplyCame:
    """One supply, what was called in of it and what came."""
    tally = (
        Tally.objects.filter(supply=supply)
        .select_related("by")
        .prefetch_related("weighings")
        .first()
    )
    return SupplyCame(supply, tally)


def lines_of_came(line_ids: Iterable[int]) -> dict[int, LineCame]:
    """What came of the lines with these ids, by id."""
    lines = Line.objects.filter(pk__in=line_ids).prefetch_related(_supplies("supplies"))
    return {line.pk: _came(line) for line in lines}


def usable_of(line: Line) -> int:
    """What there is of a line to divide, in base steps: delivered less refused less culls."""
    return line_came(line).usable


def bill_cents_of(line: Line) -> int:
    """What the farms really charge for a line, in cents."""
    return line_came(line).bill_cents


def _supplies(path: str) -> Prefetch[str]:
    supplies = Supply.objects.select_related("farm", "tally__by").prefetch_related(
        "prices", "tally__weighings"
    )
    return Prefetch(path, queryset=supplies)


def _came(line: Line) -> LineCame:
    return LineCame(
        line,
        [SupplyCame(supply, getattr(supply, "tally", None)) for supply in line.supplies.all()],
    )
