"""Freezing: containers that come of a weight, minutes of blanching, room in the freezer."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from coop.core.figures import join_words
from coop.core.preserving.pounds import Pounds, exact_pounds, up_to_tenth, whole_count
from coop.core.preserving.words import form_words, produce_in_sentence
from coop.core.preserving.yields import PINTS, NoPublishedYield, PoundsNeeded
from coop.core.tables import FreezingRow, caution, freezing_rows, unit

#: Pounds of food that a cubic foot of freezer takes in a day (caution freezing_1).
LEAST_LB_PER_CUBIC_FOOT = 2
MOST_LB_PER_CUBIC_FOOT = 3
CONTAINERS = ("pint", "quart")


@dataclass(frozen=True)
class Blanch:
    """Minutes in boiling water before freezing (0: none, None: no time printed), and a note."""

    minutes: Fraction | None
    note: str
    source: tuple[str, ...]


@dataclass(frozen=True)
class FreezePlan:
    """Whole full containers, the litres that the likely ones hold, blanching, and freezer room.

    `daily_cubic_feet_low` and `_high`: the freezer room that takes the whole weight in one day. The
    weight is as bought, so husks and pods count in, and the need is not understated.
    """

    containers_low: int
    containers_likely: int
    containers_high: int
    litres: Fraction
    pounds: Fraction
    blanch_minutes: Fraction | None
    blanch_note: str
    daily_cubic_feet_low: Fraction
    daily_cubic_feet_high: Fraction
    source: tuple[str, ...]
    cautions: tuple[str, ...]


def freezing_forms(produce: str) -> list[str]:
    """The forms of a produce for which anything on freezing is published, as the table has them.

    >>> freezing_forms("okra")
    ['small_pods', 'large_pods']
    """
    return list(dict.fromkeys(row.form for row in freezing_rows() if row.produce == produce))


def freezing_blanch(produce: str, form: str) -> Blanch:
    """How a form is blanched before freezing, also where no yield is published.

    Raises: NoPublishedYield where nothing on freezing it is published.

    >>> freezing_blanch("sweet_corn", "whole_kernel").minutes
    Fraction(4, 1)
    """
    rows = _rows(produce, form)
    timed = [row for row in rows if row.blanch_minutes is not None]
    row = (timed or rows)[0]
    return Blanch(row.blanch_minutes, row.blanch_note, _sources(rows))


def plan_freezing(produce: str, form: str, pounds: Pounds, container: str) -> FreezePlan:
    """What a weight becomes in the freezer.

    The likely number is the middle of the frozen pints of a container of produce where they are
    printed, else the middle of the pounds to a pint.

    Parameters:
        produce, form: keys of the table.
        pounds: weight as bought, 0 or more.
        container: "pint" or "quart".

    Raises: NoPublishedYield where no yield is published (`freezing_blanch` may still answer);
    ValueError for pounds below 0, or another container.

    >>> corn = plan_freezing("sweet_corn", "whole_kernel", 35, "pint")
    >>> corn.containers_low, corn.containers_likely, corn.containers_high
    (14, 15, 17)
    """
    if container not in CONTAINERS:
        raise ValueError(f"Container {container!r} is none of {', '.join(CONTAINERS)}.")
    exact, rows = exact_pounds(pounds), _rows(produce, form)
    jars = [floor(exact * rate / PINTS[container]) for rate in _rates(produce, form)]
    blanch = freezing_blanch(produce, form)
    pint_litres = unit("pint_liquid").litres or Fraction(0)
    return FreezePlan(
        containers_low=jars[0],
        containers_likely=jars[1],
        containers_high=jars[2],
        litres=jars[1] * PINTS[container] * pint_litres,
        pounds=exact,
        blanch_minutes=blanch.minutes,
        blanch_note=blanch.note,
        daily_cubic_feet_low=exact / MOST_LB_PER_CUBIC_FOOT,
        daily_cubic_feet_high=exact / LEAST_LB_PER_CUBIC_FOOT,
        source=_sources(rows),
        cautions=_cautions(blanch),
    )


def pounds_to_freeze(produce: str, form: str, wanted: Mapping[str, int]) -> PoundsNeeded:
    """The least pounds, to a tenth for each size, that fill these containers.

    Parameters:
        produce, form: keys of the table.
        wanted: how many of each, 0 or more, such as {"pint": 15, "quart": 4}.

    Raises: NoPublishedYield, ValueError as `plan_freezing`.

    >>> pounds_to_freeze("sweet_corn", "whole_kernel", {"pint": 14}).safe
    Fraction(35, 1)
    """
    low, middle, _ = _rates(produce, form)
    likely = safe = Fraction(0)
    for container, count in wanted.items():
        if container not in CONTAINERS:
            raise ValueError(f"Container {container!r} is none of {', '.join(CONTAINERS)}.")
        pints = whole_count(f"Containers ({container})", count) * PINTS[container]
        likely += up_to_tenth(pints / middle)
        safe += up_to_tenth(pints / low)
    return PoundsNeeded(likely, safe, _sources(_rows(produce, form)))


def _rates(produce: str, form: str) -> tuple[Fraction, Fraction, Fraction]:
    """Frozen pints to a pound: the fewest, the likely and the most that are published."""
    ranges = [each for row in _rows(produce, form) for each in _pints_to_a_pound(row)]
    if not ranges:
        raise NoPublishedYield(_no_yield(produce, form))
    low = min(least for least, _, _ in ranges)
    high = max(most for _, _, most in ranges)
    return low, ranges[0][1], high


def _rows(produce: str, form: str) -> list[FreezingRow]:
    rows = [row for row in freezing_rows() if (row.produce, row.form) == (produce, form)]
    if not rows:
        raise NoPublishedYield(
            f"Nothing is published on freezing {produce_in_sentence(produce)}, {form_words(form)}."
        )
    return rows


def _sources(rows: list[FreezingRow]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for row in rows for key in row.source))


def _pints_to_a_pound(row: FreezingRow) -> list[tuple[Fraction, Fraction, Fraction]]:
    """The fewest, the middle and the most, by the container and by the pound."""
    ranges = []
    pounds, low, high = row.container_lb, row.frozen_pints_low, row.frozen_pints_high
    if pounds is not None and low is not None and high is not None:
        ranges.append((low / pounds, (low + high) / 2 / pounds, high / pounds))
    least_lb, most_lb = row.lb_per_pint_low, row.lb_per_pint_high
    if least_lb is not None and most_lb is not None:
        ranges.append((1 / most_lb, 2 / (least_lb + most_lb), 1 / least_lb))
    return ranges


def _no_yield(produce: str, form: str) -> str:
    others = [
        form_words(row.form)
        for row in freezing_rows()
        if row.produce == produce and _pints_to_a_pound(row)
    ]
    known = f" One is for {join_words(dict.fromkeys(others))}." if others else ""
    food = f"{produce_in_sentence(produce)}, {form_words(form)}"
    return f"No yield of {food} in the freezer is published.{known}"


def _cautions(blanch: Blanch) -> tuple[str, ...]:
    ids = ["freezing_1", "freezing_2"] if blanch.minutes else ["freezing_1"]
    return tuple(caution(each).gist for each in ids)
