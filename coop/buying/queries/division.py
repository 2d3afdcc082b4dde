"""What there is of a line to divide, among whom, and what each rule would give."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property

from coop.buying.models import Ask, Buy, Division, Line
from coop.buying.queries.season import Carry, carries_before
from coop.buying.queries.tally import LineCame, line_came, lines_came
from coop.buying.words import RULES, RuleWords
from coop.core import division as core

DIGEST_LENGTH = 16
NO_CARRY = Carry()


@dataclass(frozen=True)
class Case:
    """All that a division depends on. The same case always divides alike."""

    came: LineCame
    asks: tuple[Ask, ...]
    claims: tuple[core.Ask, ...]
    carries: tuple[Carry, ...]
    tie_order: tuple[int, ...]

    @property
    def line(self) -> Line:
        """What is divided."""
        return self.came.line

    @property
    def amount(self) -> int:
        """What there is, in base steps."""
        return self.came.usable

    @property
    def wanted(self) -> int:
        """What was asked, in base steps."""
        return sum(claim.wanted for claim in self.claims)

    @property
    def promised(self) -> int:
        """What must be given whatever the rule."""
        return sum(claim.promised for claim in self.claims)

    @property
    def surplus(self) -> int:
        """What nobody asked for: it is offered, and charged to nobody who did not claim it."""
        return max(0, self.amount - sum(claim.highest for claim in self.claims))

    @cached_property
    def digest(self) -> str:
        """A name for what was seen: another tally, ask or season has another."""
        inputs = [self.amount, [asdict(claim) for claim in self.claims], self.tie_order]
        households = [ask.household_id for ask in self.asks]
        text = json.dumps([inputs, households], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:DIGEST_LENGTH]

    def divided_by(self, rule: core.Rule) -> core.Division:
        """The shares by one rule. Raises core CannotCover; ValueError for an ask that is none."""
        return core.divide(self.amount, self.claims, rule, tie_order=self.tie_order)


def case_of(line: Line) -> Case:
    """What there is to divide of a line, and who asked. A fixed number of queries."""
    came = line_came(line)
    asks = tuple(
        Ask.objects.filter(line=line, wanted__gt=0)
        .select_related("household")
        .order_by("household__name", "household_id")
    )
    by_household = carries_before(line)
    carries = tuple(by_household.get(ask.household_id, NO_CARRY) for ask in asks)
    claims = tuple(
        _claim(ask, carry, line=line, nothing_came=came.usable == 0)
        for ask, carry in zip(asks, carries, strict=True)
    )
    return Case(came, asks, claims, carries, _tie_order(line, asks))


def _claim(ask: Ask, carry: Carry, *, line: Line, nothing_came: bool) -> core.Ask:
    """An ask as the core reads it. Where nothing came at all, nobody can be held to a minimum."""
    return core.Ask(
        wanted=ask.wanted,
        at_least=ask.at_least,
        at_most=ask.at_most,
        step=ask.whole or line.step,
        or_none=ask.or_none or nothing_came,
        past_asked=carry.asked,
        past_received=carry.received,
    )


def _tie_order(line: Line, asks: Sequence[Ask]) -> tuple[int, ...]:
    """Positions of the asks, first in line first: by joining, and one further on with each line."""
    by_joining = sorted(range(len(asks)), key=lambda place: asks[place].household_id)
    turn = line.pk % len(asks) if asks else 0
    return tuple(by_joining[turn:] + by_joining[:turn])


# ---- all rules side by side -----------------------------------------------------------------
@dataclass(frozen=True)
class Cell:
    """What one household gets by one rule."""

    ask: Ask
    amount: int

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
    problem: str = ""

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
    try:
        for rule in sorted(RULES, key=lambda each: each != stated):
            columns.append(_column(case, core.Rule(rule), columns))
    except core.CannotCover as refusal:
        return Choices(case, short_by=refusal.short_by)
    except ValueError as refusal:
        return Choices(case, problem=str(refusal))
    return Choices(case, tuple(columns))


def _column(case: Case, rule: core.Rule, earlier: Sequence[Column]) -> Column:
    division = case.divided_by(rule)
    cells = tuple(Cell(*pair) for pair in zip(case.asks, division.shares, strict=True))
    twin = next((column for column in earlier if column.cells == cells), None)
    is_stated = rule == case.line.buy.shortage_rule
    return Column(
        rule, RULES[rule], cells, division, is_stated, same_as=twin.words.label if twin else ""
    )


# ---- how far a buy is divided ---------------------------------------------------------------
@dataclass(frozen=True)
class LineState:
    """One line: what came of it, what was asked of it, and the division that holds."""

    came: LineCame
    asked: int
    division: Division | None

    @property
    def is_to_divide(self) -> bool:
        """Somebody asked or something came, and no division stands."""
        return self.division is None and bool(self.asked or self.came.usable)


def line_states(buy: Buy) -> list[LineState]:
    """Every line of a buy in order. A fixed number of queries."""
    asked: dict[int, int] = {}
    for line_id, wanted in Ask.objects.filter(line__buy=buy).values_list("line_id", "wanted"):
        asked[line_id] = asked.get(line_id, 0) + wanted
    standing: Mapping[int, Division] = {
        division.line_id: division
        for division in Division.objects.filter(
            line__buy=buy, withdrawn_at__isnull=True
        ).select_related("published_by")
    }
    return [
        LineState(came, asked.get(came.line.pk, 0), standing.get(came.line.pk))
        for came in lines_came(buy)
    ]
