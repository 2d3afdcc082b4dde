"""From pounds to jars and back, by every figure that is published for a food."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import floor

from coop.core.preserving.pounds import Pounds, exact_pounds, up_to_tenth, whole_count
from coop.core.preserving.words import produce_in_sentence, product_words
from coop.core.tables import YieldRow, yield_rows

#: Pints in each jar: units of measure, no figure of the tables.
PINTS = {
    "half_pint": Fraction(1, 2),
    "pint": Fraction(1),
    "quart": Fraction(2),
    "half_gallon": Fraction(4),
}
QUARTS_A_LOAD = 7
PINTS_A_LOAD = 9
#: What the container column holds where the row is one batch of a tested recipe.
RECIPE = "recipe_batch"


class NoPublishedYield(LookupError):
    """No figure says how much comes of a pound of this; `sentence` says so."""

    def __init__(self, sentence: str) -> None:
        """Say in a sentence what has no published yield."""
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class JarRange:
    """Whole full jars: by the worst, the likely and the best published figure, and the sources."""

    low: int
    likely: int
    high: int
    source: tuple[str, ...]


@dataclass(frozen=True)
class PoundsNeeded:
    """Pounds to a tenth: by the likely figure, and by the worst one to be safe; the sources."""

    likely: Fraction
    safe: Fraction
    source: tuple[str, ...]


@dataclass(frozen=True)
class Rates:
    """Pounds to one jar: the most (fewest jars), the likely and the least, and the sources.

    `recipe_lb` are the pounds of one batch of a tested recipe, None where it is no recipe.
    """

    most: Fraction
    likely: Fraction
    least: Fraction
    recipe_lb: Fraction | None
    source: tuple[str, ...]

    def jars(self, pounds: Fraction) -> JarRange:
        """Whole full jars of so many pounds."""
        low, likely, high = (floor(pounds / rate) for rate in (self.most, self.likely, self.least))
        return JarRange(low, likely, high, self.source)


def jars_of(produce: str, product: str, pounds: Pounds, jar: str) -> JarRange:
    """How many whole full jars come of a weight of produce as it is bought.

    Every published figure counts: jars of a container, pounds to a load, pounds to a jar, each
    converted to this jar by its volume. The likely one is the load of this jar's own size (7
    quarts, 9 pints), else the pounds to such a jar, else those of the other size, else the middle
    of the jars that a container or a recipe makes.

    Parameters:
        produce, product: keys of the table.
        pounds: weight as bought (in the husk, in the pod: the table's note says), 0 or more.
        jar: "half_pint", "pint", "quart" or "half_gallon".

    Raises: NoPublishedYield where nothing is published by the pound; ValueError for negative
    pounds, or an unknown jar.

    >>> jars_of("sweet_corn", "whole_kernel", Fraction(63, 2), "quart").likely
    7
    """
    return rates_of(produce, product, jar).jars(exact_pounds(pounds))


def pounds_for(produce: str, product: str, wanted: Mapping[str, int]) -> PoundsNeeded:
    """The least pounds, to a tenth for each size, that make these jars: `jars_of` turned round.

    Parameters:
        produce, product: keys of the table.
        wanted: how many jars of each size, 0 or more, such as {"quart": 21, "pint": 14}.

    Returns: the sum of the pounds of each size, likely and safe.

    Raises: NoPublishedYield, ValueError as `jars_of`.

    >>> pounds_for("sweet_corn", "whole_kernel", {"quart": 7, "pint": 9}).likely
    Fraction(103, 2)
    """
    likely = safe = Fraction(0)
    source = _row(produce, product).source
    for jar, count in wanted.items():
        rates = rates_of(produce, product, jar)
        whole_count(f"Jars ({jar})", count)
        likely += up_to_tenth(count * rates.likely)
        safe += up_to_tenth(count * rates.most)
    return PoundsNeeded(likely, safe, source)


def rates_of(produce: str, product: str, jar: str) -> Rates:
    """Pounds to one jar of this size by all published figures.

    Raises: NoPublishedYield, ValueError as `jars_of`.
    """
    if jar not in PINTS:
        raise ValueError(f"Jar {jar!r} is none of {', '.join(PINTS)}.")
    row = _row(produce, product)
    of_container = _of_container(row)
    by_jar = _by_jar(row, quarts_first=PINTS[jar] >= PINTS["quart"])
    figures = [*by_jar, *of_container]
    if not figures:
        raise NoPublishedYield(_sentence(row.produce, row.product))
    # The middle of a container's jars stands second, and counts where no load or jar is printed.
    likely = by_jar[0] if by_jar else of_container[1]
    size = PINTS[jar]
    return Rates(
        most=max(figures) * size,
        likely=likely * size,
        least=min(figures) * size,
        recipe_lb=row.container_lb if row.container == RECIPE else None,
        source=row.source,
    )


@cache
def _by_key() -> dict[tuple[str, str], YieldRow]:
    return {(row.produce, row.product): row for row in yield_rows()}


def _row(produce: str, product: str) -> YieldRow:
    row = _by_key().get((produce, product))
    if row is None:
        raise NoPublishedYield(_sentence(produce, product))
    return row


def _sentence(produce: str, product: str) -> str:
    return (
        f"No yield by the pound is published for {produce_in_sentence(produce)}, "
        f"{product_words(product)}: plan it by the jar."
    )


def _by_jar(row: YieldRow, *, quarts_first: bool) -> list[Fraction]:
    """Pounds to a pint by the load and by the jar, the figures of this size first."""
    quarts = [
        row.lb_per_7qt_load and row.lb_per_7qt_load / QUARTS_A_LOAD / PINTS["quart"],
        row.lb_per_quart and row.lb_per_quart / PINTS["quart"],
    ]
    pints = [row.lb_per_9pt_load and row.lb_per_9pt_load / PINTS_A_LOAD, row.lb_per_pint]
    in_order = [*quarts, *pints] if quarts_first else [*pints, *quarts]
    return [figure for figure in in_order if figure is not None]


def _of_container(row: YieldRow) -> list[Fraction]:
    """Pounds to a pint by the fewest, the middle and the most jars of a container or a recipe."""
    pounds, low, high = row.container_lb, row.yield_low, row.yield_high
    if pounds is None or low is None or high is None:
        return []
    pints = PINTS[row.yield_unit.removesuffix("s")]
    return [pounds / (jars * pints) for jars in (low, (low + high) / 2, high)]
