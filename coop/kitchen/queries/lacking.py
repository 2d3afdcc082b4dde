"""What jars, lids and bands a plan wants, against what its household has."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from coop.jars.kinds import KINDS, Mouth
from coop.jars.queries.stock import Age, Held, HeldLids, Stock, age_of
from coop.kitchen.queries.figures import UseFigures
from coop.kitchen.queries.plates import PlanSheet


@dataclass(frozen=True)
class Need:
    """Jars of one kind that the uses not put up yet want, against what the household has."""

    kind: str
    likely: int
    high: int
    empty: int

    @property
    def said(self) -> str:
        """The kind in words."""
        return KINDS[self.kind]

    @property
    def lacking(self) -> int:
        """How many are missing for the likely number."""
        return max(0, self.likely - self.empty)


@dataclass(frozen=True)
class LidNeed:
    """Lids and bands of one mouth, one of each for a jar."""

    mouth: str
    likely: int
    lids: int
    bands: int

    @property
    def said(self) -> str:
        """The mouth in words."""
        return str(Mouth(self.mouth).label)

    @property
    def lids_lacking(self) -> int:
        """New lids that are missing."""
        return max(0, self.likely - self.lids)

    @property
    def bands_lacking(self) -> int:
        """Bands that are missing."""
        return max(0, self.likely - self.bands)


@dataclass(frozen=True)
class Shortage:
    """What jars, lids and bands the plan wants, against the household's newest count."""

    stock: Stock
    jars: tuple[Need, ...]
    lids: tuple[LidNeed, ...]
    age: Age

    @property
    def is_lacking(self) -> bool:
        """Whether anything is missing."""
        return any(need.lacking for need in self.jars) or any(
            need.lids_lacking or need.bands_lacking for need in self.lids
        )


def shortage_of(sheet: PlanSheet, stock: Stock, now: datetime) -> Shortage | None:
    """What the household lacks for what is not put up yet; None where no jar is wanted."""
    waiting = [p.figures for p in sheet.plates if p.figures.batch and not p.outcome]
    if not waiting:
        return None
    kinds = [kind for kind in KINDS if any(each.kind == kind for each in waiting)]
    mouths = [mouth for mouth in Mouth if any(each.use.mouth == mouth for each in waiting)]
    return Shortage(
        stock,
        jars=tuple(_need(kind, waiting, stock) for kind in kinds),
        lids=tuple(_lid_need(mouth, waiting, stock) for mouth in mouths),
        age=age_of(stock, now),
    )


def _need(kind: str, waiting: list[UseFigures], stock: Stock) -> Need:
    mine = [each for each in waiting if each.kind == kind]
    return Need(
        kind,
        likely=sum(each.jars_likely for each in mine),
        high=sum(each.jars_high for each in mine),
        empty=stock.kinds.get(kind, Held()).empty - stock.promised.get(kind, 0),
    )


def _lid_need(mouth: str, waiting: list[UseFigures], stock: Stock) -> LidNeed:
    held = stock.lids.get(mouth, HeldLids())
    likely = sum(each.lids for each in waiting if each.use.mouth == mouth)
    return LidNeed(mouth, likely, lids=held.lids, bands=held.bands)
