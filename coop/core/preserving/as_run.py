"""A load as it was run, beside what is published for what was in it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from coop.core.figures import counted, join_words
from coop.core.preserving.process import NoTestedProcess, Process, find_process
from coop.core.preserving.words import jar_words, pack_words, produce_in_sentence, product_words
from coop.core.tables import PRESSURE_METHODS, TABLES, rule, spelled_out

#: The product of what somebody made though no table has it.
UNTESTED = "no_tested_process"
MONTHS_A_YEAR = 12


@dataclass(frozen=True)
class Ran:
    """How a load was run: its method, whole minutes, psi on the gauge (None in boiling water).

    `vent_minutes` is None in boiling water, or where nobody wrote it down; `altitude_ft` is that
    of the kitchen.
    """

    method: str
    minutes: int
    psi: int | None
    vent_minutes: int | None
    altitude_ft: int


@dataclass(frozen=True)
class Filled:
    """What was in some of the jars of a load, by the keys of the tables."""

    produce: str
    product: str
    pack: str
    jar: str
    option: int = 1


@dataclass(frozen=True)
class Finding:
    """One thing that the published tables say against a load, and the keys of their sources."""

    sentence: str
    source: tuple[str, ...]

    @property
    def sources(self) -> str:
        """The sources spelled out."""
        return join_words(spelled_out(key) for key in self.source)

    @property
    def main_source(self) -> str:
        """The first of them alone, where there is little room."""
        return spelled_out(self.source[0])


def shortfalls(ran: Ran, filled: Iterable[Filled]) -> tuple[Finding, ...]:
    """Where a load fell short of what is published for its jars; empty where it did not.

    Fewer minutes or lower pressure than the row of the jars at this altitude, no row at all (a
    half-gallon of anything but the juices, say), steam vented for too short a time. More minutes
    or more pressure than published is no shortfall.

    >>> ran = Ran("dial_gauge", 55, 13, 10, 5200)
    >>> [
    ...     each.sentence
    ...     for each in shortfalls(ran, [Filled("sweet_corn", "whole_kernel", "hot", "quart")])
    ... ]
    ['Sweet corn, whole kernel, hot pack in quarts, needs 85 minutes at 5,200 ft; it ran 55 minutes.']
    """  # noqa: E501
    found = list(_venting(ran))
    for each in dict.fromkeys(filled):
        found += _against_its_row(ran, each)
    return tuple(found)


def mixed(ran: Ran, filled: Iterable[Filled]) -> Finding | None:
    """Whether jars of one load ask for other minutes or another pressure than their neighbours.

    It is no shortfall where the load ran for the longest, but such jars do not share a load.
    """
    asked: dict[str, tuple[int, int | None]] = {}
    source: list[str] = []
    for each in dict.fromkeys(filled):
        process = _row_of(ran, each)
        if process:
            asked[_said(each)] = (process.minutes, process.psi)
            source += process.source
    if len(set(asked.values())) < 2:  # noqa: PLR2004 - one kind cannot differ from itself
        return None
    parts = [f"{what} {_minutes_and_psi(*figures)}" for what, figures in asked.items()]
    sentence = (
        "Only jars with the same minutes and pressure share a load, and these differ: "
        f"{join_words(parts)}."
    )
    return Finding(sentence, tuple(dict.fromkeys(source)))


def untested_gauge(method: str, day: date, tested_on: date | None) -> Finding | None:
    """Whether a dial gauge was last tested too long before the day of a load, or nobody knows."""
    if method != "dial_gauge":
        return None
    months = int(rule("pressure", "dial_gauge_test_interval"))
    if tested_on is not None and tested_on >= _months_before(day, months):
        return None
    known = "Nobody wrote down when the dial gauge was last tested."
    if tested_on:
        known = f"The dial gauge was last tested on {tested_on.day} {tested_on:%b %Y}."
    sentence = f"{known} It is to be tested within the {months} months before it is used."
    return Finding(sentence, source_of_rule("pressure", "dial_gauge_test_interval"))


def source_of_rule(canner_type: str, name: str) -> tuple[str, ...]:
    """The keys of the sources of one rule of a canner.

    Raises: LookupError where no such rule is published.
    """
    for row in TABLES["canner_rules"].rows:
        if (row["canner_type"], row["rule"]) == (canner_type, name):
            return tuple(row["source"].split(";"))
    raise LookupError(f"No rule {name!r} is published for {canner_type!r}.")


def _venting(ran: Ran) -> Iterable[Finding]:
    if ran.method not in PRESSURE_METHODS:
        return
    needed = int(rule("pressure", "vent_minutes"))
    if ran.vent_minutes is None or ran.vent_minutes < needed:
        vented = "nobody wrote down for how long it did"
        if ran.vent_minutes is not None:
            vented = f"it did for {ran.vent_minutes}"
        sentence = f"Steam has to vent for {counted(needed, 'minute')} first; {vented}."
        yield Finding(sentence, source_of_rule("pressure", "vent_minutes"))


def _against_its_row(ran: Ran, filled: Filled) -> Iterable[Finding]:
    if filled.product == UNTESTED:
        sentence = (
            f"There is no tested process in the tables for {_uncapped(filled.produce)} in "
            f"{jar_words(filled.jar, 2)}."
        )
        yield Finding(sentence, ("USDA15",))
        return
    try:
        process = _find(ran, filled)
    except NoTestedProcess as refusal:
        yield Finding(refusal.sentence, ("USDA15",))
        return
    here = f"at {ran.altitude_ft:,} ft"
    if ran.minutes < process.minutes:
        sentence = (
            f"{_said(filled)}, needs {counted(process.minutes, 'minute')} {here}; it ran "
            f"{counted(ran.minutes, 'minute')}."
        )
        yield Finding(sentence, process.source)
    if process.psi is not None and (ran.psi or 0) < process.psi:
        sentence = f"{_said(filled)}, needs {process.psi} psi {here}; it ran at {ran.psi or 0} psi."
        yield Finding(sentence, process.source)


def _find(ran: Ran, filled: Filled) -> Process:
    return find_process(
        filled.produce,
        filled.product,
        filled.pack,
        ran.method,
        filled.jar,
        ran.altitude_ft,
        filled.option,
    )


def _row_of(ran: Ran, filled: Filled) -> Process | None:
    try:
        return _find(ran, filled)
    except NoTestedProcess:
        return None


def _said(filled: Filled) -> str:
    words = f"{produce_in_sentence(filled.produce)}, {product_words(filled.product)}"
    jars = f"{pack_words(filled.pack)} in {jar_words(filled.jar, 2)}"
    option = f", option {filled.option}" if filled.option != 1 else ""
    return f"{words[:1].upper()}{words[1:]}, {jars}{option}"


def _uncapped(words: str) -> str:
    return f"{words[:1].lower()}{words[1:]}"


def _minutes_and_psi(minutes: int, psi: int | None) -> str:
    return counted(minutes, "minute") + (f" at {psi} psi" if psi else "")


def _months_before(day: date, months: int) -> date:
    """The same day so many months ago; the last of its month where there is no such day."""
    year, month = divmod(day.year * MONTHS_A_YEAR + day.month - 1 - months, MONTHS_A_YEAR)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, min(day.day, last))
        except ValueError:
            continue
    raise AssertionError("Every month has 28 days.")
