"""What the labels of lots say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coop.core.preserving import jar_words, pack_words
from coop.core.storage import BestBy, best_by
from coop.jars.kinds import Mouth
from coop.kitchen.models import Lot, Way
from coop.kitchen.queries.dangers import Danger, dangers_of
from coop.kitchen.queries.lots import CONTAINER, lots_of, product_said, with_shelf
from coop.people.models import Coop

#: Lots offered to choose from, the newest.
OFFERED = 60


@dataclass(frozen=True)
class ToLabel:
    """A lot whose jars want labels: how many it has, until when they are best.

    `dangers` is what speaks against eating them.
    """

    lot: Lot
    jars: int
    best_by: BestBy | None
    put_up_as: str
    dangers: Sequence[Danger] = ()

    @property
    def product(self) -> str:
        """What is in it."""
        return product_said(self.lot)


def to_label(coop: Coop, ids: Sequence[int]) -> list[ToLabel]:
    """The lots with these ids, in their order; one that is not the co-op's is left out."""
    found = with_shelf(lots_of(coop)).select_related("coop").in_bulk(list(ids))
    dangers = dangers_of(coop, found.values())
    return [_to_label(found[pk], dangers.get(pk, ())) for pk in dict.fromkeys(ids) if pk in found]


def lots_to_offer(coop: Coop) -> list[Lot]:
    """The newest lots of a co-op, to choose from."""
    return list(with_shelf(lots_of(coop))[:OFFERED])


def _to_label(lot: Lot, dangers: Sequence[Danger]) -> ToLabel:
    best = best_by(lot.way, lot.produce, lot.made_on)
    return ToLabel(lot, jars_of_lot(lot), best, _put_up_as(lot), dangers)


def jars_of_lot(lot: Lot) -> int:
    """How many labels a lot wants: jars sealed, else counted out, else in."""
    sealed, out = vars(lot)["sealed"], lot.counted_out
    return int(next(count for count in (sealed, out, lot.counted_in) if count is not None))


def _put_up_as(lot: Lot) -> str:
    """Pack and one jar: "hot pack, quart, wide mouth"; nothing where it is dried."""
    if lot.way == Way.DRY:
        return ""
    if lot.way == Way.FREEZE:
        return f"{jar_words(lot.jar)} {CONTAINER}"
    return f"{pack_words(lot.pack)}, {jar_words(lot.jar)}, {Mouth(lot.mouth).label}"


def written_out(day: date) -> str:
    """A day as a label has it: 11 Aug 2026.

    >>> written_out(date(2026, 8, 11))
    '11 Aug 2026'
    """
    return f"{day.day} {day:%b %Y}"
