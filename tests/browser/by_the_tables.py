"""What the published tables say, reckoned anew from the files themselves: nothing asks the product.

The rules of reckoning are those of the guide: USDA, "Complete Guide to Home Canning" (Agriculture
Information Bulletin 539, revised 2015). The row of a jar holds within its band of altitude, its
yields are pounds to a canner load of 7 quarts, and bushels to quarts.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from math import ceil, floor

from stdnum import damm

QUARTS_A_LOAD = 7


@dataclass(frozen=True)
class Way:
    """What is canned, and how, by the keys of the tables."""

    produce: str
    product: str
    pack: str
    method: str
    jar: str


def rows(table: str, **wanted: str) -> Iterator[dict[str, str]]:
    """The rows of a table that have all these texts."""
    text = files("coop.core.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        if wanted.items() <= row.items():
            yield row


def process(way: Way, altitude_ft: int) -> dict[str, str]:
    """The one row that holds at an altitude."""
    (found,) = (
        row
        for row in rows("process_times", **vars(way), option="1")
        if int(row["altitude_low_ft"]) <= altitude_ft <= int(row["altitude_high_ft"] or 99999)
    )
    return found


def rates(way: Way) -> list[Fraction]:
    """Pounds to a quart by each published figure, the load of quarts first."""
    (row,) = rows("canning_yields", produce=way.produce, product=way.product)
    bushel = Fraction(row["container_lb"])
    found = [
        Fraction(row["lb_per_7qt_load"]) / QUARTS_A_LOAD,
        Fraction(row["lb_per_quart"] or 0),
        Fraction(row["lb_per_9pt_load"] or 0) / 9 * 2,
        bushel / Fraction(row["yield_low"]),
        bushel / Fraction(row["yield_high"]),
    ]
    return [rate for rate in found if rate]


def quarts(way: Way, pounds: int) -> tuple[int, int, int]:
    """Whole quarts of so many pounds: at the least, likely, at the most."""
    likely, *_ = found = rates(way)
    worst, best = max(found), min(found)
    return floor(pounds / worst), floor(pounds / likely), floor(pounds / best)


def loads(jars: int, jars_a_load: int) -> list[int]:
    """How many jars each load holds."""
    full, over = divmod(jars, jars_a_load)
    return [jars_a_load] * full + ([over] if over else [])


def to_fill(way: Way, pounds: int, jars_a_load: int) -> tuple[int, Fraction]:
    """How many jars the last load lacks, and the pounds for them, up to the tenth."""
    likely = quarts(way, pounds)[1]
    lacking = -likely % jars_a_load
    more = (likely + lacking) * rates(way)[0] - pounds
    return lacking, Fraction(ceil(more * 10), 10)


def stove_minutes(way: Way, altitude_ft: int) -> tuple[int, int]:
    """One load under pressure, from a loaded canner until its jars may be lifted out."""
    minutes = int(process(way, altitude_ft)["minutes"])
    around = ("heat_to_vent_minutes", "pressurize_minutes", "cool_down_minutes")
    always = _rule("vent_minutes") + _rule("wait_after_zero_before_opening")
    low, high = (
        minutes + always + sum(_rule(f"{name}_{end}") for name in around) for end in ("low", "high")
    )
    return low, high


def _rule(name: str) -> int:
    (row,) = rows("canner_rules", canner_type="pressure", rule=name)
    return int(row["value"])


def frozen_pints(produce: str, form: str, pounds: int) -> tuple[int, int, int]:
    """Whole frozen pints of so many pounds: at the least, likely, at the most."""
    (row,) = (
        row for row in rows("freezing_yields", produce=produce, form=form) if row["container"]
    )
    bushel = Fraction(row["container_lb"])
    low, high = (Fraction(row[f"frozen_pints_{end}"]) for end in ("low", "high"))
    per_pint = [Fraction(row[f"lb_per_pint_{end}"]) for end in ("low", "high")]
    most = max(pounds * high / bushel, pounds / min(per_pint))
    least = min(pounds * low / bushel, pounds / max(per_pint))
    return floor(least), floor(pounds * (low + high) / 2 / bushel), floor(most)


def blanch_minutes(produce: str, form: str) -> str:
    """Minutes of blanching before freezing."""
    (row,) = rows("freezing_yields", produce=produce, form=form)
    return row["blanch_minutes"]


def lot_code(number: int) -> str:
    """The code on a label, its check digit by a library that the product does not use."""
    return f"{number}{damm.calc_check_digit(str(number))}"
