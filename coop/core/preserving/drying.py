"""Drying: trays, heat, hours and what is done before."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from coop.core.preserving.pounds import Pounds, exact_pounds
from coop.core.preserving.words import form_words, produce_in_sentence
from coop.core.preserving.yields import NoPublishedYield
from coop.core.tables import DryingRow, caution, drying_rows

#: The rows that hold for whatever has no hours of its own.
GENERAL = frozenset({"fruit_any", "vegetables_any"})
GENERAL_VEGETABLES = "vegetables_any"


@dataclass(frozen=True)
class DryBlanch:
    """Minutes of blanching before drying, in "steam" or "water"."""

    minutes_low: Fraction
    minutes_high: Fraction
    method: str


@dataclass(frozen=True)
class DryPlan:
    """Trays, degrees Fahrenheit and hours. Hours are a guide: dryness is judged on cooled food.

    `hours_are_general` marks the wide range of vegetables or fruit at large, where no hours of this
    form are published. `blanches` are all printed ways, `blanch` the first of them or None.
    """

    trays: int
    temperature_f: int
    hours_low: Fraction
    hours_high: Fraction
    hours_are_general: bool
    pretreatment: str
    blanch: DryBlanch | None
    blanches: tuple[DryBlanch, ...]
    note: str
    source: tuple[str, ...]
    cautions: tuple[str, ...]


def drying_forms(produce: str) -> list[str]:
    """The forms of a produce for which drying is published, as the table has them.

    >>> drying_forms("apples")
    ['slices_or_rings_0.125_in']
    """
    return list(dict.fromkeys(row.form for row in drying_rows() if row.produce == produce))


def plan_drying(produce: str, form: str, pounds: Pounds, tray_pounds: Pounds) -> DryPlan:
    """How many trays a weight fills, how hot and how long they dry, and what comes before.

    How much dried food comes of it is not published, so it is not told.

    Parameters:
        produce, form: keys of the table; "fruit_any" and "vegetables_any" have the form "any".
        pounds: prepared weight, 0 or more.
        tray_pounds: what one tray takes, above 0: of the dryer at hand, it is in no table.

    Raises: NoPublishedYield where drying this is not published; ValueError for wrong pounds.

    >>> pears = plan_drying("pears", "halves", 10, 2)
    >>> pears.trays, pears.temperature_f, int(pears.hours_low), int(pears.hours_high)
    (5, 140, 18, 24)
    """
    exact, of_tray = exact_pounds(pounds), exact_pounds(tray_pounds)
    if not of_tray:
        raise ValueError("A tray that takes 0 pounds dries nothing.")
    row = _row(produce, form)
    timed = row if row.hours_low is not None else _row(GENERAL_VEGETABLES, "any")
    if timed.temperature_f is None or timed.hours_low is None or timed.hours_high is None:
        raise NoPublishedYield(f"No hours are published for drying {_food(produce, form)}.")
    blanches = _blanches(row)
    return DryPlan(
        trays=ceil(exact / of_tray),
        temperature_f=timed.temperature_f,
        hours_low=timed.hours_low,
        hours_high=timed.hours_high,
        hours_are_general=timed.produce in GENERAL,
        pretreatment=row.pretreatment,
        blanch=blanches[0] if blanches else None,
        blanches=blanches,
        note=row.note,
        source=tuple(dict.fromkeys((*row.source, *timed.source))),
        cautions=_cautions(row),
    )


def _row(produce: str, form: str) -> DryingRow:
    for row in drying_rows():
        if (row.produce, row.form) == (produce, form):
            return row
    raise NoPublishedYield(f"Nothing is published on drying {_food(produce, form)}.")


def _food(produce: str, form: str) -> str:
    return f"{produce_in_sentence(produce)}, {form_words(form)}"


def _blanches(row: DryingRow) -> tuple[DryBlanch, ...]:
    printed = (
        (row.steam_blanch_min_low, row.steam_blanch_min_high, "steam"),
        (row.water_blanch_min_low, row.water_blanch_min_high, "water"),
    )
    return tuple(
        DryBlanch(low, high, method)
        for low, high, method in printed
        if low is not None and high is not None
    )


def _cautions(row: DryingRow) -> tuple[str, ...]:
    ids = ["drying_4", "drying_1", "drying_3"]
    if row.produce == "mushrooms":
        ids.append("drying_2")
    if "sulf" in row.pretreatment + row.note:
        ids.append("allergens_1")
    return tuple(caution(each).gist for each in ids)
