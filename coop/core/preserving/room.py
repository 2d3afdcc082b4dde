"""How many jars of a size one load can hold at the most, as published."""

from collections.abc import Mapping

from coop.core.preserving.as_run import Finding
from coop.core.preserving.words import jar_words
from coop.core.tables import PRESSURE_METHODS, CannerRow, canner_rows


def too_full(method: str, jars: Mapping[str, int]) -> tuple[Finding, ...]:
    """Of which jars a load holds more than any published canner of its kind takes.

    Parameters:
        method: a method key; `jars`: how many of each jar the whole load holds.

    Returns: one finding a jar. Of a jar that no row names, nothing is known and nothing is said.
    Source: the table of canners, each row with its own.

    >>> [each.sentence for each in too_full("dial_gauge", {"quart": 999, "pint": 20})]
    ['No canner in the tables takes 999 quarts at once; the largest takes 7.']
    """
    found = []
    for jar, count in jars.items():
        most = _most_of(method, jar)
        if most is not None and count > most.jars_high:
            sentence = (
                f"No canner in the tables takes {count:,} {jar_words(jar, count)} at once; the "
                f"largest takes {most.jars_high}."
            )
            found.append(Finding(sentence, most.source))
    return tuple(found)


def _most_of(method: str, jar: str) -> CannerRow | None:
    kind = "pressure" if method in PRESSURE_METHODS else "boiling_water"
    rows = [row for row in canner_rows() if (row.canner_type, row.jar) == (kind, jar)]
    return max(rows, key=lambda row: row.jars_high, default=None)
