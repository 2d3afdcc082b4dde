"""Every rule side by side for one case: what each gives to whom, and who is short by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coop.buying.models import Ask
from coop.buying.queries.division import Case
from coop.buying.queries.season import Carry
from coop.buying.words import RULES, RuleWords
from coop.core import division as core


@dataclass(frozen=True)
class Cell:
    """What one household gets by one rule."""

    rule: core.Rule
    ask: Ask
    amount: int

    @property
    def wanted(self) -> int:
        """What it wanted."""
        return self.ask.wanted

    @property
    def short(self) -> int:
        """By how much it is short of what it wanted."""
        return max(0, self.ask.wanted - self.amount)

    @property
    def over(self) -> int:
        """What it takes above what it wanted, within what it said it bears."""
        return max(0, self.amount - self.ask.wanted)


@dataclass(frozen=True)
class Column:
    """One rule: what it gives to each, in the order of the asks."""

    rule: core.Rule
    words: RuleWords
    cells: tuple[Cell, ...]
    division: core.Division
    is_stated: bool
    same_as: str = ""

    @property
    def given(self) -> int:
        """What all get together."""
        return sum(cell.amount for cell in self.cells)

    @property
    def short_households(self) -> int:
        """How many get less than they wanted."""
        return sum(1 for cell in self.cells if cell.short)

    @property
    def shortest(self) -> Cell | None:
        """Who is short by most, if anybody."""
        short = [cell for cell in self.cells if cell.short]
        return max(short, key=lambda cell: cell.short, default=None)


@dataclass(frozen=True)
class Row:
    """One household: its ask, its season, and its cell of each rule."""

    ask: Ask
    carry: Carry
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Choices:
    """Every rule for one case, or by how much the tally cannot cover what was promised."""

    case: Case
    columns: tuple[Column, ...] = ()
    short_by: int = 0

    @property
    def rows(self) -> list[Row]:
        """The same figures by household."""
        return [
            Row(ask, carry, tuple(column.cells[place] for column in self.columns))
            for place, (ask, carry) in enumerate(
                zip(self.case.asks, self.case.carries, strict=True)
            )
        ]

    @property
    def is_one(self) -> bool:
        """Whether every rule gives the same, so that there is nothing to choose."""
        return all(column.same_as for column in self.columns[1:])

    @property
    def shown(self) -> Sequence[Column]:
        """The rules worth a column: the stated one first, and only it where all are alike."""
        return self.columns[:1] if self.is_one else self.columns

    @property
    def furthest_behind(self) -> Row | None:
        """Who has fallen behind most this season, by the part of its asks that it got."""
        behind = [row for row in self.rows if row.carry.short]
        return min(behind, key=lambda row: row.carry.fill, default=None)

    @property
    def minimums(self) -> list[Ask]:
        """The asks that hold a minimum, the largest first."""
        held = [
            ask
            for ask, claim in zip(self.case.asks, self.case.claims, strict=True)
            if claim.promised
        ]
        return sorted(held, key=lambda ask: (-ask.at_least, ask.household.name))


def choices_of(case: Case) -> Choices:
    """Divide a case by every rule, the buy's own first. What cannot be is said, not raised."""
    stated = case.line.buy.shortage_rule
    columns: list[Column] = []
    if case.impossible:
        return Choices(case)
    try:
        for rule in sorted(RULES, key=lambda each: each != stated):
            columns.append(_column(case, core.Rule(rule), columns))
    except core.CannotCover as refusal:
        return Choices(case, short_by=refusal.short_by)
    return Choices(case, tuple(columns))


def _column(case: Case, rule: core.Rule, earlier: Sequence[Column]) -> Column:
    division = case.divided_by(rule)
    cells = tuple(
        Cell(rule, ask, amount) for ask, amount in zip(case.asks, division.shares, strict=True)
    )
    twin = next((each for each in earlier if each.division.shares == division.shares), None)
    is_stated = rule == case.line.buy.shortage_rule
    return Column(
        rule, RULES[rule], cells, division, is_stated, same_as=twin.words.label if twin else ""
    )
