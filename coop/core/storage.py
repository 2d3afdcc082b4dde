"""How long food that was put up keeps, as published: the best-by date of a label."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from coop.core.preserving.words import produce_in_sentence
from coop.core.tables import StorageRow, storage_rows

#: What the tables call each way of keeping.
KEPT = {"can": "canned", "freeze": "frozen", "dry": "dried"}
CITRUS = "grapefruit_orange"
#: Produce of the tables that a cook calls a fruit; the rows of dried food tell them from
#: vegetables. Common practice, no source.
FRUITS = frozenset(
    {
        *("apples", "apricots", "asian_pears", "berries", "blueberries", "cantaloupe", "cherries"),
        *("cranberries", "dates", "figs", "fruit_any", "grapefruit_orange", "grapes", "mangoes"),
        *("nectarines", "papayas", "peaches", "pears", "pineapple", "plums", "plums_prunes"),
        *("strawberries",),
    }
)
MONTHS_IN_YEAR = 12


@dataclass(frozen=True)
class BestBy:
    """Until when food is at its best.

    Parameters:
        on: the day, so many months after the food was put up.
        months: the upper end of the published range.
        row: the row that it comes from; its `basis` says whether it is about quality or safety.
    """

    on: date
    months: int
    row: StorageRow

    @property
    def reason(self) -> str:
        """The row in words, as "dried sweet corn kept at 70 F: 3 to 4 months".

        >>> best_by("can", "tomato", date(2026, 8, 12)).reason
        'canned food: 12 months'
        """
        row = self.row
        foods = {"any": "food", "fruits_and_vegetables": "fruit and vegetables"}
        food = foods.get(row.food) or produce_in_sentence(row.food)
        at = f" kept at {row.storage_temperature_f} F" if row.storage_temperature_f else ""
        low = f"{row.months_low} to " if row.months_low is not None else ""
        where = "" if row.kind == "canned" else at
        return f"{row.kind} {food}{where}: {low}{self.months} month{'s' * (self.months != 1)}"


def best_by(way: str, produce: str, made_on: date) -> BestBy | None:
    """The best-by date of food put up on a day, by the row that is closest to it.

    Parameters:
        way: "can", "freeze" or "dry".
        produce: a produce key of the tables.
        made_on: the day on which it was put up.

    Returns: the upper end of the row's months; None where no row is published. Of rows that differ
    in temperature, the warmest: nobody knows how cool a cupboard is, and cooler keeps longer.

    Source: the table storage_life, each row with its own.

    >>> best_by("dry", "sweet_corn", date(2026, 8, 12)).on
    datetime.date(2026, 12, 12)
    >>> best_by("smoke", "sweet_corn", date(2026, 8, 12)) is None
    True
    """
    row = _row(KEPT.get(way, way), produce)
    if row is None or row.months_high is None:
        return None
    months = int(row.months_high)
    return BestBy(months_after(made_on, months), months, row)


def months_after(day: date, months: int) -> date:
    """The same day so many months later, or the last day of a month that is too short.

    >>> months_after(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, MONTHS_IN_YEAR)
    year, month = day.year + years, month + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _row(kind: str, produce: str) -> StorageRow | None:
    rows = [row for row in storage_rows() if row.kind == kind]
    for food in _foods(kind, produce):
        named = [row for row in rows if row.food == food]
        if named:
            return max(named, key=_warmth)
    return None


def _foods(kind: str, produce: str) -> tuple[str, ...]:
    """The foods of the table that the produce may stand under, the closest first."""
    if kind == "dried":
        return (produce, "fruits" if produce in FRUITS else "vegetables", "any")
    if kind == "frozen":
        citrus = ("citrus_fruit_and_juice",) if produce == CITRUS else ()
        return (produce, *citrus, "fruits_and_vegetables")
    return (produce, "any")


def _warmth(row: StorageRow) -> Fraction:
    text = row.storage_temperature_f
    return Fraction(text) if text.isdigit() else Fraction(-1)
