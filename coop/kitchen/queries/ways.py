"""Every published way to keep a food at an altitude, as rows to choose from. No query at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from urllib.parse import urlencode

from coop.core.figures import counted, mixed_number
from coop.core.preserving import (
    Acid,
    NoAcid,
    NoPublishedYield,
    NoTestedProcess,
    Process,
    acids_for,
    also_under,
    drying_forms,
    find_process,
    form_words,
    freezing_blanch,
    freezing_forms,
    jar_words,
    jars_of,
    method_words,
    pack_words,
    plan_drying,
    plan_freezing,
    processes_at,
    produce_in_sentence,
    produce_words,
    product_words,
)
from coop.core.tables import CannerRow, canner_rows, drying_rows, freezing_rows, process_rows
from coop.kitchen.models import Way

#: Keys that stand for many foods at once; nobody has a bushel of them.
GENERAL = frozenset({"fruit_any", "vegetables_any"})
PRESSURE, BOILING_WATER = "pressure", "boiling_water"
OPTIONS_TYPED = frozenset({"1", "2", "3"})
FREEZER_CONTAINERS = ("pint", "quart")


@dataclass(frozen=True)
class WayKey:
    """What a use is, by its keys: of a process, or of a form that is frozen or dried.

    `under` is the wider produce key that the row stands under, empty where it is the produce's own.
    """

    way: Way
    product: str
    under: str = ""
    pack: str = ""
    method: str = ""
    jar: str = ""
    option: int = 1

    @property
    def query(self) -> str:
        """As the end of an address."""
        return urlencode({name: str(value) for name, value in vars(self).items() if value})

    def in_jar(self, jar: str) -> WayKey:
        """The same way in another jar or container."""
        return replace(self, jar=jar)


def key_in(parameters: Mapping[str, str]) -> WayKey | None:
    """The way that the end of an address names; None where it names none."""
    way, product = parameters.get("way", ""), parameters.get("product", "")
    option = parameters.get("option", "1")
    if way not in Way.values or not product or option not in OPTIONS_TYPED:
        return None
    rest = {name: parameters.get(name, "") for name in ("under", "pack", "method", "jar")}
    if way != Way.CAN:
        rest = {}
    return WayKey(Way(way), product, option=int(option), **rest)


@dataclass(frozen=True)
class Row:
    """One way as a row: what it is, what the tables say of it, and its key."""

    key: WayKey
    title: str
    line: str
    process: Process | None = None
    has_yield: bool = True


@dataclass(frozen=True)
class Group:
    """The ways of one product."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Ways:
    """What is published for a food at an altitude; `none` says so where nothing can be canned.

    `ended`: a sentence for each canner whose rows of this food end below the altitude.
    """

    canned: tuple[Group, ...]
    frozen: tuple[Row, ...]
    dried: tuple[Row, ...]
    none: NoTestedProcess | None
    ended: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all is published."""
        return not (self.canned or self.frozen or self.dried)

    @property
    def has_options(self) -> bool:
        """Whether the tables print several pairs of minutes and pressure for some jar."""
        rows = (row for group in self.canned for row in group.rows)
        return any(row.key.option > 1 for row in rows)


@cache
def produce_keys() -> tuple[str, ...]:
    """Every produce that some table can plan, in the order of its words."""
    keys = {row.produce for row in process_rows()} | {row.produce for row in freezing_rows()}
    keys |= {row.produce for row in drying_rows()}
    return tuple(sorted(keys - GENERAL, key=produce_words))


def ways_at(produce: str, altitude_ft: int) -> Ways:
    """Every published way for a produce key at an altitude in whole feet."""
    groups: dict[str, list[Row]] = {}
    for under in ("", *also_under(produce)):
        for process in processes_at(altitude_ft, under or produce):
            title = product_words(process.product).capitalize()
            wider = f" ({produce_in_sentence(under)})" if under else ""
            groups.setdefault(title + wider, []).append(canned_row(process, under))
    canned = tuple(Group(title, tuple(rows)) for title, rows in groups.items())
    return Ways(
        canned=canned,
        frozen=tuple(_frozen_row(produce, form) for form in freezing_forms(produce)),
        dried=tuple(_dried_row(produce, form) for form in drying_forms(produce)),
        none=None if canned else nothing_canned(produce, altitude_ft),
        ended=ended_below(produce, altitude_ft),
    )


def ended_below(produce: str, altitude_ft: int) -> tuple[str, ...]:
    """For each canner with rows of a food, none of which goes up to the altitude: where they end.

    >>> ended_below("sweet_corn", 9000)
    ('For a dial gauge the published table ends at 8,000 ft.',)
    """
    foods = (produce, *also_under(produce))
    highest: dict[str, int | None] = {}
    for row in process_rows():
        if row.produce in foods:
            known = highest.get(row.method, 0)
            open_above = known is None or row.altitude_high_ft is None
            highest[row.method] = None if open_above else max(known or 0, row.altitude_high_ft or 0)
    return tuple(
        f"For a {method_words(method).rpartition(', ')[2]} the published table ends at {end:,} ft."
        for method, end in highest.items()
        if end is not None and end < altitude_ft
    )


def nothing_canned(produce: str, altitude_ft: int) -> NoTestedProcess:
    """What the tables say to a food of which nothing is canned at this altitude."""
    rows = [row for row in process_rows() if row.produce == produce]
    product = rows[0].product if rows else "any"
    try:
        find_process(produce, product, "hot", "dial_gauge", "pint", altitude_ft)
    except NoTestedProcess as refusal:
        food = produce_in_sentence(produce)
        where = f"at {altitude_ft:,} ft" if rows else "at any altitude"
        return NoTestedProcess(
            f"There is no tested process for canning {food} {where}.",
            refusal.nearest,
        )
    raise AssertionError("A process is there after all.")  # the caller has found none


def canned_row(process: Process, under: str = "") -> Row:
    """One tested process as a row; `under` is the wider key that it stands under, if it does."""
    key = WayKey(
        Way.CAN,
        process.product,
        under=under,
        pack=process.pack,
        method=process.method,
        jar=process.jar,
        option=process.option,
    )
    option = f", option {process.option}" if has_options(process) else ""
    jars = jar_words(process.jar, 2).capitalize()
    return Row(
        key,
        f"{jars}, {pack_words(process.pack)}{option}",
        f"{method_words(process.method).capitalize()}: {minutes_said(process)}",
        process,
        has_yield=has_yield(process),
    )


def minutes_said(process: Process) -> str:
    """Minutes, and the pressure where there is one: "85 minutes at 13 psi"."""
    minutes = counted(process.minutes, "minute")
    return minutes if process.psi is None else f"{minutes} at {process.psi} psi"


def has_options(process: Process) -> bool:
    """Whether the tables print several pairs of minutes and pressure for this very jar."""
    return any(
        row.option != process.option
        for row in process_rows()
        if (row.produce, row.product, row.pack, row.method, row.jar)
        == (process.produce, process.product, process.pack, process.method, process.jar)
    )


def has_yield(process: Process) -> bool:
    """Whether the tables say how many pounds fill such jars."""
    try:
        jars_of(process.produce, process.product, Fraction(10), process.jar)
    except NoPublishedYield:
        return False
    return True


def acids_of(process: Process) -> tuple[Acid, ...]:
    """The acids to choose from; () also where one must go in and no amount of it is printed."""
    try:
        return acids_for(process)
    except NoAcid:
        return ()


def row_of(produce: str, key: WayKey, altitude_ft: int) -> Row:
    """The row of one way. Raises NoTestedProcess or NoPublishedYield where there is none."""
    if key.way == Way.CAN:
        food = key.under if key.under in also_under(produce) else produce
        process = find_process(
            food, key.product, key.pack, key.method, key.jar, altitude_ft, key.option
        )
        return canned_row(process, key.under)
    if key.way == Way.FREEZE:
        freezing_blanch(produce, key.product)
        return _frozen_row(produce, key.product)
    if key.product not in drying_forms(produce):
        raise NoPublishedYield(
            f"Nothing is published on drying {produce_in_sentence(produce)}, "
            f"{form_words(key.product)}."
        )
    return _dried_row(produce, key.product)


def _frozen_row(produce: str, form: str) -> Row:
    blanch = freezing_blanch(produce, form)
    said = ""
    if blanch.minutes:
        minutes = mixed_number(blanch.minutes)
        said = f"Blanch {minutes} {'minute' if blanch.minutes == 1 else 'minutes'}"
    line = "; ".join(part for part in (said, blanch.note) if part)
    has = freezing_has_yield(produce, form)
    return Row(WayKey(Way.FREEZE, form), form_words(form).capitalize(), line, has_yield=has)


def freezing_has_yield(produce: str, form: str) -> bool:
    """Whether the tables say how many frozen pints the pounds are."""
    try:
        plan_freezing(produce, form, Fraction(10), "pint")
    except NoPublishedYield:
        return False
    return True


def _dried_row(produce: str, form: str) -> Row:
    plan = plan_drying(produce, form, Fraction(10), Fraction(1))
    hours = f"{mixed_number(plan.hours_low)} to {mixed_number(plan.hours_high)} hours"
    general = " (the general range: none is printed for this)" if plan.hours_are_general else ""
    line = f"{hours} at about {plan.temperature_f} F{general}"
    return Row(WayKey(Way.DRY, form), form_words(form).capitalize(), line)


@dataclass(frozen=True)
class LoadChoice:
    """How many jars one load takes, and of which canners the table says so."""

    jars: int
    label: str


def load_choices(method: str, jar: str) -> list[LoadChoice]:
    """The published loads of such jars in such a canner, the smallest first; [] for none."""
    canner = BOILING_WATER if method == BOILING_WATER else PRESSURE
    named: dict[int, list[str]] = {}
    for row in canner_rows():
        if (row.canner_type, row.jar) == (canner, jar):
            for count in dict.fromkeys((row.jars_low, row.jars_high)):
                named.setdefault(count, []).append(canner_said(row))
    return [
        LoadChoice(count, f"{count}: {'; '.join(dict.fromkeys(named[count]))}")
        for count in sorted(named)
    ]


def usual_load(method: str, jar: str) -> int | None:
    """What a standard canner takes of such jars; None where the table does not say."""
    canner = BOILING_WATER if method == BOILING_WATER else PRESSURE
    rows = [row for row in canner_rows() if (row.canner_type, row.jar) == (canner, jar)]
    standard = [row.jars_high for row in rows if row.class_ == "standard"]
    return next(iter(standard or [row.jars_high for row in rows]), None)


def canner_said(row: CannerRow) -> str:
    """A class of canners in words.

    >>> canner_said(canner_rows()[0])
    'small canner'
    """
    words = row.class_.replace("_", " ")
    if words.startswith("sold as"):
        said = f"canner {words}"
    else:
        said = f"{words.removesuffix(' double deck')} canner"
    return f"{said}, two layers" if row.layers > 1 else said
