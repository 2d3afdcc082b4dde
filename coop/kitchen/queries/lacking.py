"""What jars, lids and bands a plan wants, against what its household has for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from coop.jars.kinds import KINDS, Mouth
from coop.jars.queries.stock import Age, HeldLids, Stock, age_of
from coop.kitchen.models import Plan
from coop.kitchen.queries.figures import UseFigures
from coop.kitchen.queries.needs import own_empty, put_in, still_wanted, to_can
from coop.kitchen.queries.plans import open_plans
from coop.kitchen.queries.plates import PlanSheet


@dataclass(frozen=True)
class Wanted:
    """So many of one thing: the likely number, and the highest that may be needed."""

    likely: int = 0
    high: int = 0

    def __add__(self, other: Wanted) -> Wanted:
        """Both together."""
        return Wanted(self.likely + other.likely, self.high + other.high)


NOTHING = Wanted()


@dataclass(frozen=True)
class Need:
    """Jars of one kind, or lids or bands of one mouth, that a plan wants and the household has.

    `kind` is empty for lids and bands. `there` are what the household has. Its other open plans
    want some of them too: those that were made `earlier` come first, `later` ones after this plan.
    """

    said: str
    wanted: Wanted
    there: int
    earlier: Wanted
    later: Wanted
    kind: str = ""

    @property
    def lacking(self) -> int:
        """How many are missing for the likely number."""
        return max(0, self.wanted.likely - max(0, self.there - self.earlier.likely))

    @property
    def short(self) -> int:
        """How many are missing to be sure: for the highest number, of the earlier plans too."""
        return max(0, self.wanted.high - max(0, self.there - self.earlier.high))

    @property
    def others_said(self) -> str:
        """How many the other plans are likely to want, and which of them come first."""
        earlier, later = self.earlier.likely, self.later.likely
        if earlier and later:
            return f"other plans want {earlier + later}, {earlier} of them before this one"
        if earlier:
            return f"earlier plans want {earlier} first"
        return f"later plans want {later}" if later else ""


@dataclass(frozen=True)
class Shortage:
    """What jars, lids and bands the plan wants, against what the household should have now."""

    stock: Stock
    needs: tuple[Need, ...]
    age: Age

    @property
    def is_lacking(self) -> bool:
        """Whether anything is missing for the likely numbers."""
        return any(need.lacking for need in self.needs)

    @property
    def is_short(self) -> bool:
        """Whether anything is missing to be sure."""
        return any(need.short for need in self.needs)

    @property
    def has_others(self) -> bool:
        """Whether other plans of the household want some of the same."""
        return any(need.others_said for need in self.needs)


def shortage_of(sheet: PlanSheet, stock: Stock, now: datetime) -> Shortage | None:
    """What the household lacks for what is not put up yet; None where no jar is wanted.

    Jars that went into a load already are wanted no more. Four queries, whatever the number of
    other plans; none where nothing is to be canned.
    """
    plan = sheet.plan
    if not any(p.figures.batch and not p.outcome for p in sheet.plates):
        return None
    others = open_plans(plan.coop).filter(household=plan.household_id).exclude(pk=plan.pk)
    uses = to_can([plan, *others])
    filled, age = put_in(uses), _age(plan)
    mine = _wanted((u for u in uses if u.use.plan_id == plan.pk), filled)
    earlier = _wanted((u for u in uses if _age(u.use.plan) < age), filled)
    later = _wanted((u for u in uses if _age(u.use.plan) > age), filled)
    needs = tuple(
        Need(said, mine[key], there, earlier.get(key, NOTHING), later.get(key, NOTHING), kind)
        for key, said, there, kind in _things(stock)
        if key in mine
    )
    return Shortage(stock, needs, age_of(stock, now)) if needs else None


def _age(plan: Plan) -> tuple[datetime, int]:
    """Plans in the order in which they were made."""
    return plan.at, plan.pk


def _wanted(uses: Iterable[UseFigures], filled: Mapping[int, int]) -> dict[str, Wanted]:
    """Jars by kind, and lids and bands by mouth: one of each for a jar."""
    wanted: dict[str, Wanted] = {}
    for each in uses:
        jars = Wanted(still_wanted(each, filled), still_wanted(each, filled, sure=True))
        if each.kind and jars != NOTHING:
            for key in (each.kind, each.use.mouth):
                wanted[key] = wanted.get(key, NOTHING) + jars
    return wanted


def _things(stock: Stock) -> Iterator[tuple[str, str, int, str]]:
    """Everything that may be wanted: its key, its name, how many are there, its kind of jar."""
    for kind, said in KINDS.items():
        yield kind, said, own_empty(stock, kind), kind
    for mouth in Mouth:
        held = stock.lids.get(mouth, HeldLids())
        yield mouth.value, f"new lids, {mouth.label}", held.lids, ""
        yield mouth.value, f"bands, {mouth.label}", held.bands, ""
