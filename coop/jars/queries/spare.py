"""Who has spare jars: each household's, with how far it is and how old its count."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coop.core.distance import miles_apart
from coop.core.figures import counted
from coop.jars.kinds import KINDS, Mouth, size_and_mouth
from coop.jars.queries.homes import homes_in
from coop.jars.queries.stock import HeldLids, Stock, stocks_in
from coop.people.models import Household, Member


@dataclass(frozen=True)
class Wanted:
    """What is looked for: a size, a mouth (empty: any), and no farther than `within` miles."""

    size: str = ""
    mouth: str = ""
    within: int | None = None

    @property
    def kinds(self) -> list[str]:
        """The kinds that would do, in their order."""
        return [kind for kind in KINDS if self._takes(kind)]

    def _takes(self, kind: str) -> bool:
        size, mouth = size_and_mouth(kind)
        return self.size in ("", size) and self.mouth in ("", mouth)


@dataclass(frozen=True)
class SpareRow:
    """One household with jars to spare, by kind. `miles` are None where they are not known."""

    stock: Stock
    spare: Mapping[str, int]
    miles: float | None

    @property
    def household(self) -> Household:
        """Whose jars they are."""
        return self.stock.household

    @property
    def miles_said(self) -> str:
        """Whole miles, and less than one said so."""
        miles = round(self.miles or 0)
        return f"about {counted(miles, 'mile')}" if (self.miles or 0) >= 1 else "under a mile"

    @property
    def lids(self) -> list[tuple[str, int]]:
        """New lids, by mouth in their order."""
        return [(mouth.value, self.stock.lids.get(mouth, HeldLids()).lids) for mouth in Mouth]

    def by_kind(self, kinds: Iterable[str]) -> list[tuple[str, int]]:
        """Spare jars of each of these kinds, of which there may be none."""
        return [(kind, self.spare.get(kind, 0)) for kind in kinds]


@dataclass(frozen=True)
class SpareTable:
    """Who has what. `kinds` are the columns; `unplaced` are left out as their miles are unknown."""

    own: SpareRow
    rows: tuple[SpareRow, ...]
    kinds: tuple[str, ...]
    placed: bool
    unplaced: int = 0


def spare_table(member: Member, wanted: Wanted) -> SpareTable:
    """The households with spare jars of a kind that is wanted: nearest first, unknown miles last.

    Eight queries, whatever the number of households.
    """
    stocks = stocks_in(member.coop)
    homes = homes_in(member.coop)
    here = homes.get(member.household_id)
    miles = {key: miles_apart(here, there) for key, there in homes.items()} if here else {}
    own = _row(stocks.pop(member.household_id, Stock(member.household)), wanted, None)
    found = (_row(stock, wanted, miles.get(key)) for key, stock in stocks.items())
    rows = sorted((row for row in found if row.spare), key=_by_miles)
    near = [row for row in rows if _is_within(row, wanted)]
    return SpareTable(
        own,
        tuple(near),
        tuple(_columns(near, own, wanted)),
        placed=here is not None,
        unplaced=sum(row.miles is None for row in rows) if wanted.within is not None else 0,
    )


def _row(stock: Stock, wanted: Wanted, miles: float | None) -> SpareRow:
    spare = {kind: stock.kinds[kind].spare for kind in wanted.kinds if kind in stock.kinds}
    return SpareRow(stock, {kind: count for kind, count in spare.items() if count}, miles)


def _by_miles(row: SpareRow) -> tuple[bool, float, str]:
    return row.miles is None, row.miles or 0, row.household.name


def _is_within(row: SpareRow, wanted: Wanted) -> bool:
    return wanted.within is None or (row.miles is not None and row.miles <= wanted.within)


def _columns(rows: Iterable[SpareRow], own: SpareRow, wanted: Wanted) -> list[str]:
    if wanted.size and wanted.mouth:
        return wanted.kinds
    there = {kind for row in (own, *rows) for kind in row.spare}
    return [kind for kind in wanted.kinds if kind in there]
