"""The page of lot plans: what can be called in, and what each choice does to each household."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from coop.buying.models import Buy, Line, Supply
from coop.buying.queries.cover import Cover, cover_for
from coop.buying.queries.estimate import Estimate, Past, estimate_of, pasts_of
from coop.buying.queries.lines import cost_cents, lines_of, open_asks, supplies_of
from coop.buying.queries.lots import (
    Counts,
    LinePlans,
    amount_of,
    called_in_counts,
    counts_of,
    plans_of,
    problem_with,
)
from coop.core.figures import counted, join_words
from coop.people.models import Household

#: Supplies of a line whose containers are tried one more and one less.
VARIED_SUPPLIES = 2


@dataclass(frozen=True)
class PlanRow:
    """One plan of a line in the table: what it brings, and what the whole buy costs with it.

    `saves_cents` is how much less that is than with the next smaller plan: more can cost less.
    """

    counts: Counts
    words: str
    amount: int
    short: int
    over: int
    total_cents: int
    saves_cents: int
    is_best: bool
    is_picked: bool
    query: str


@dataclass(frozen=True)
class Way:
    """The picked containers, or one more or less of one supply, and what they come to."""

    words: str
    counts: Counts
    estimate: Estimate
    is_picked: bool


@dataclass(frozen=True)
class Effect:
    """What one household gets of the line, and pays for the buy, in each of the ways."""

    household: Household
    wanted: int
    cells: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class LinePicking:
    """One line: its plans, the ways to compare, and what they do to each household."""

    plans: LinePlans
    rows: tuple[PlanRow, ...]
    ways: tuple[Way, ...]
    effects: tuple[Effect, ...]
    picked_amount: int

    @property
    def line(self) -> Line:
        """The line itself."""
        return self.plans.line


@dataclass(frozen=True)
class Picking:
    """The whole page: lines, the picked containers, what they cost, and whether it is covered."""

    lines: tuple[LinePicking, ...]
    supplies: tuple[Supply, ...]
    counts: Counts
    estimate: Estimate
    cover: Cover
    query: str
    problems: tuple[str, ...]


@dataclass(frozen=True)
class _Costing:
    """A buy with what is picked, to be estimated with other containers."""

    buy: Buy
    lines: Sequence[Line]
    counts: Counts
    pasts: Mapping[int, Past]
    known: dict[tuple[tuple[int, int], ...], Estimate] = field(default_factory=dict)

    def estimate(self, counts: Counts) -> Estimate:
        """The buy with these containers, worked out once however many lines compare with it."""
        key = tuple(sorted(counts.items()))
        if key not in self.known:
            self.known[key] = estimate_of(self.buy, self.lines, counts, pasts=self.pasts)
        return self.known[key]


def picking_of(buy: Buy, picked: Mapping[int, int] | None = None) -> Picking:
    """The lot plans of a buy, with the picked containers by supply.

    Where none are picked: what was called in, else the recommended.
    """
    lines = lines_of([buy])
    plans = plans_of(lines)
    supplies = supplies_of(lines)
    counts = (called_in_counts(lines) or counts_of(plans)) | {
        key: count
        for key, count in (picked or {}).items()
        if key in {supply.pk for supply in supplies}
    }
    costing = _Costing(buy, lines, counts, pasts_of(buy, lines))
    estimate = costing.estimate(counts)
    return Picking(
        lines=tuple(_line_picking(each, costing) for each in plans),
        supplies=tuple(supplies),
        counts=counts,
        estimate=estimate,
        cover=cover_for(buy, estimate),
        query=query_of(counts),
        problems=tuple(
            problem for supply in supplies if (problem := problem_with(supply, counts[supply.pk]))
        ),
    )


def query_of(counts: Mapping[int, int]) -> str:
    """The containers as the end of an address."""
    return "&".join(f"n-{key}={count}" for key, count in sorted(counts.items()))


def words_of(supplies: Iterable[Supply], counts: Mapping[int, int]) -> str:
    """Containers in words: "6 bushels, Fennick farm"."""
    bought = [supply for supply in supplies if counts.get(supply.pk)]
    if not bought:
        return "Nothing"
    return join_words(
        f"{counted(counts[supply.pk], supply.container)}, {supply.farm.name}" for supply in bought
    )


def _line_picking(plans: LinePlans, costing: _Costing) -> LinePicking:
    counts = costing.counts
    ways = [
        Way(words, way, costing.estimate(way), is_picked=way == counts)
        for words, way in _ways(plans.line, counts)
    ]
    return LinePicking(
        plans=plans,
        rows=tuple(_rows(plans, supplies_of(costing.lines), counts)),
        ways=tuple(ways),
        effects=tuple(_effects(plans.line, ways)),
        picked_amount=amount_of(plans.line, counts),
    )


# ---- the table of plans ---------------------------------------------------------------------
def _rows(plans: LinePlans, supplies: Sequence[Supply], counts: Counts) -> list[PlanRow]:
    totals = [sum(cost_cents(supplies, counts | plan.counts)) for plan in plans.plans]
    return [
        PlanRow(
            counts=plan.counts,
            words=words_of(plans.line.supplies.all(), plan.counts),
            amount=plan.amount,
            short=plan.short,
            over=plans.over_asked(plan),
            total_cents=total,
            saves_cents=max(0, smaller - total),
            is_best=plan.amount == plans.best.amount,
            is_picked=all(counts.get(key) == count for key, count in plan.counts.items()),
            query=query_of(counts | plan.counts),
        )
        for plan, total, smaller in zip(plans.plans, totals, [*totals[:1], *totals], strict=False)
    ]


# ---- one container more or less -------------------------------------------------------------
def _ways(line: Line, counts: Counts) -> list[tuple[str, Counts]]:
    """One less of each of the line's main supplies, what is picked, and one more of each."""
    supplies = sorted(line.supplies.all(), key=lambda each: -counts.get(each.pk, 0) * each.size)[
        :VARIED_SUPPLIES
    ]
    fewer = [_changed(supply, counts, by=-1) for supply in supplies]
    more = [_changed(supply, counts, by=1) for supply in supplies]
    picked = [("Picked", dict(counts))]
    return [way for way in fewer if way] + picked + [way for way in more if way]


def _changed(supply: Supply, counts: Counts, *, by: int) -> tuple[str, Counts] | None:
    """One container more or less, where the farm sells so many; past its minimum, all of it."""
    count = counts.get(supply.pk, 0) + by
    if 0 < count < supply.at_least:
        count = 0 if by < 0 else supply.at_least
    if count < 0 or problem_with(supply, count):
        return None
    change = count - counts.get(supply.pk, 0)
    words = f"{counted(abs(change), supply.container)} {'more' if change > 0 else 'less'}"
    return words, counts | {supply.pk: count}


def _effects(line: Line, ways: Sequence[Way]) -> list[Effect]:
    return [
        Effect(
            household=ask.household,
            wanted=ask.wanted,
            cells=tuple(_cell(way, line, ask.household_id) for way in ways),
        )
        for ask in open_asks(line)
    ]


def _cell(way: Way, line: Line, household: int) -> tuple[int, int]:
    found = next(each for each in way.estimate.lines if each.line.pk == line.pk)
    return found.shares.get(household, 0), way.estimate.cents_by_household.get(household, 0)
