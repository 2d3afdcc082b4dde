"""The tested process for a jar at an altitude: exactly as published, or none."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from coop.core.figures import join_words
from coop.core.preserving.words import (
    jar_words,
    method_words,
    pack_words,
    produce_in_sentence,
    product_words,
)
from coop.core.tables import process_rows

WHERE_TO_ASK = (
    "Ask your local extension office, or look into the current edition of the USDA Complete Guide "
    "to Home Canning."
)

#: How many processes near to the one that is asked for are named at most.
MOST_NEAREST = 6


@dataclass(frozen=True)
class Process:
    """One tested process: its key, its band of altitude (both ends in it), its figures.

    Altitudes are feet (`altitude_high_ft` None: no upper end), `psi` is on the gauge and None in
    boiling water. `headspace_in` is None where none or two are printed (see `note`). `acidify`:
    acid goes into each jar or belongs to the recipe. `source` holds the keys of the publications.
    """

    produce: str
    product: str
    pack: str
    method: str
    jar: str
    option: int
    altitude_low_ft: int
    altitude_high_ft: int | None
    minutes: int
    psi: int | None
    headspace_in: Fraction | None
    acidify: bool
    source: tuple[str, ...]
    note: str

    def holds_at(self, altitude_ft: int) -> bool:
        """Whether an altitude lies in the band."""
        high = self.altitude_high_ft
        return self.altitude_low_ft <= altitude_ft and (high is None or altitude_ft <= high)


class NoTestedProcess(LookupError):
    """Nothing is published for this food, jar, pack, canner or altitude.

    `sentence` says so and which part is not there; `nearest` are at most six published processes
    at the same altitude, the closest first; `where_to_ask` says who may know more.
    """

    def __init__(self, sentence: str, nearest: tuple[Process, ...] = ()) -> None:
        """Say in a sentence what is not there, with what is published close to it."""
        super().__init__(sentence)
        self.sentence, self.nearest, self.where_to_ask = sentence, nearest, WHERE_TO_ASK


@dataclass(frozen=True)
class _Wanted:
    """What is asked for: the key of a process."""

    produce: str
    product: str
    pack: str
    method: str
    jar: str
    option: int

    def differs_from(self, process: Process) -> int:
        parts = ("pack", "method", "jar", "option")
        return sum(getattr(self, part) != getattr(process, part) for part in parts)

    def words(self) -> str:
        food = f"{produce_in_sentence(self.produce)}, {product_words(self.product)}"
        option = f", option {self.option}" if self.option != 1 else ""
        jars = f"{pack_words(self.pack)} in {jar_words(self.jar, 2)}"
        return f"{food}, {jars} {_in_canner(self.method)}{option}"


@cache
def _processes() -> tuple[Process, ...]:
    return tuple(
        Process(
            produce=row.produce,
            product=row.product,
            pack=row.pack,
            method=row.method,
            jar=row.jar,
            option=row.option,
            altitude_low_ft=row.altitude_low_ft,
            altitude_high_ft=row.altitude_high_ft,
            minutes=row.minutes,
            psi=row.pressure_psi,
            headspace_in=row.headspace_in,
            acidify=row.acidify,
            source=row.source,
            note=row.note,
        )
        for row in process_rows()
    )


@cache
def _by_key() -> dict[_Wanted, tuple[Process, ...]]:
    bands: dict[_Wanted, list[Process]] = {}
    for each in _processes():
        key = _Wanted(each.produce, each.product, each.pack, each.method, each.jar, each.option)
        bands.setdefault(key, []).append(each)
    return {key: tuple(of_key) for key, of_key in bands.items()}


def find_process(  # noqa: PLR0917
    produce: str,
    product: str,
    pack: str,
    method: str,
    jar: str,
    altitude_ft: int,
    option: int = 1,
) -> Process:
    """The tested process with exactly this key at this altitude, as it is published.

    Nothing is interpolated, rounded or taken from another jar, pack, canner or altitude.

    Parameters:
        produce, product: keys of the table, such as "sweet_corn", "whole_kernel".
        pack: "hot" or "raw".
        method: "boiling_water", "dial_gauge" or "weighted_gauge".
        jar: "half_pint", "pint", "quart" or "half_gallon".
        altitude_ft: whole feet above the sea.
        option: 1 (default) to 3, which of several published pairs of minutes and pressure.

    Returns: the process.

    Raises: NoTestedProcess if no such row is published; ValueError if the altitude is not in whole
    feet (bands end at whole feet, so between them nothing is said).

    >>> corn = find_process("sweet_corn", "whole_kernel", "hot", "dial_gauge", "quart", 5200)
    >>> corn.minutes, corn.psi
    (85, 13)
    >>> find_process("sweet_corn", "whole_kernel", "hot", "boiling_water", "quart", 5200)
    Traceback (most recent call last):
    ...
    coop.core.preserving.process.NoTestedProcess: There is no tested process for sweet corn, whole kernel, hot pack in quarts in a boiling-water canner at 5,200 ft: for this food none is published in a boiling-water canner, only in a pressure canner with dial gauge and in a pressure canner with weighted gauge.
    """  # noqa: E501
    if altitude_ft != altitude_ft // 1:
        raise ValueError(f"Altitude {altitude_ft!r} is not in whole feet.")
    wanted = _Wanted(produce, product, pack, method, jar, option)
    for process in _by_key().get(wanted, ()):
        if process.holds_at(altitude_ft):
            return process
    raise NoTestedProcess(_sentence(wanted, altitude_ft), _nearest(wanted, altitude_ft))


def processes_at(altitude_ft: int, produce: str | None = None) -> tuple[Process, ...]:
    """Every published process at an altitude, in the order of the table.

    Parameters:
        altitude_ft: whole feet above the sea.
        produce: only those of this produce key (default: all).

    >>> [(each.jar, each.minutes) for each in processes_at(1000, "crab_apples")]
    [('pint', 20)]
    """
    return tuple(
        each
        for each in _processes()
        if produce in {None, each.produce} and each.holds_at(altitude_ft)
    )


def _nearest(wanted: _Wanted, altitude_ft: int) -> tuple[Process, ...]:
    """Of the same produce: the same product first, then the fewest differences."""
    near = sorted(
        processes_at(altitude_ft, wanted.produce),
        key=lambda each: (each.product != wanted.product, wanted.differs_from(each)),
    )
    return tuple(near[:MOST_NEAREST])


def _sentence(wanted: _Wanted, altitude_ft: int) -> str:
    return (
        f"There is no tested process for {wanted.words()} at {altitude_ft:,} ft: "
        f"{_reason(wanted, altitude_ft)}.{_half_pint_hint(wanted, altitude_ft)}"
    )


def _in_canner(method: str) -> str:
    words = method_words(method).replace(", ", " with ")
    return f"in {'an' if words.startswith(tuple('aeiou')) else 'a'} {words}"


#: What is looked at in turn: a part of the key, and how a value of it reads.
_PARTS: tuple[tuple[str, Callable[[str], str]], ...] = (
    ("method", _in_canner),
    ("pack", lambda pack: f"as {pack_words(pack)}"),
    ("jar", lambda jar: f"in {jar_words(jar, 2)}"),
    ("option", lambda option: f"as option {option}"),
)


def _reason(wanted: _Wanted, altitude_ft: int) -> str:
    """The first part of the key of which nothing is published, given the parts before it."""
    left = [each for each in _processes() if each.produce == wanted.produce]
    if not left:
        return "the tables have no process for this produce"
    left = [each for each in left if each.product == wanted.product]
    if not left:
        return "the tables have this produce, but no process for this product of it"
    for part, words in _PARTS:
        value = getattr(wanted, part)
        kept = [each for each in left if getattr(each, part) == value]
        if not kept:
            others = join_words(_once(words(getattr(each, part)) for each in left))
            return f"for this food none is published {words(value)}, only {others}"
        left = kept
    if altitude_ft < left[0].altitude_low_ft:
        return "the published tables begin at 0 ft"
    ends = [each.altitude_high_ft for each in left if each.altitude_high_ft is not None]
    return f"the published table for it ends at {max(ends):,} ft"


def _half_pint_hint(wanted: _Wanted, altitude_ft: int) -> str:
    pints = _Wanted(**{**vars(wanted), "jar": "pint"})
    held = any(each.holds_at(altitude_ft) for each in _by_key().get(pints, ()))
    if wanted.jar != "half_pint" or not held:
        return ""
    return (
        " The USDA guide of 2015 lets half-pints take the time of pints, for which there is a "
        "process; it prints none for the half-pint itself."
    )


def _once(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(words))
