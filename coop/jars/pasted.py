"""A pasted list of jars: lines as people write them, read or refused with a reason. Pure text."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from coop.jars.kinds import KINDS, Mouth, Size, kind_of, size_and_mouth

#: More jars of one kind than this in one house is a slip of the finger.
MOST_JARS = 9_999
MOST_LINES = 200

#: What each size is called, the longer names first: they hold the shorter ones.
SIZES: tuple[tuple[str, Size], ...] = (
    (r"pints?[ -]and[ -]a[ -]half", Size.PINT_AND_HALF),
    (r"(1[ -]1/2|1½|1\.5)[ -]?(pints?|pts?)|24[ -]?oz", Size.PINT_AND_HALF),
    (r"(half|1/2|½|0\.5)[ -]?gal(lon)?s?|64[ -]?oz", Size.HALF_GALLON),
    (r"(half|1/2|½|0\.5)[ -]?(pints?|pts?)|hp|8[ -]?oz", Size.HALF_PINT),
    (r"(12|twelve)[ -]?oz", Size.TWELVE_OUNCE),
    (r"pints?|pts?|16[ -]?oz", Size.PINT),
    (r"quarts?|qts?|32[ -]?oz", Size.QUART),
)
MOUTHS: tuple[tuple[str, Mouth], ...] = (
    (r"regular|reg|rm|standard|narrow", Mouth.REGULAR),
    (r"wide|wm", Mouth.WIDE),
)
#: What is counted, by each of its words; jars and lids are never in one line.
OF_JARS = {"full": "full", "filled": "full", "empty": "empty", "empties": "empty"}
OF_JARS |= dict.fromkeys(("spare", "spares", "lend"), "spare")
OF_LIDS = {"lid": "lids", "lids": "lids"} | dict.fromkeys(
    ("band", "bands", "ring", "rings"), "bands"
)
#: What three numbers without a word are, as the page of counting has them.
IN_ORDER = ("full", "empty", "spare")
LIDS_OR_BANDS = frozenset(OF_LIDS.values())
STATES = OF_JARS | OF_LIDS
FILLERS = frozenset(
    ("a", "and", "are", "jar", "jars", "mouth", "mouths", "new", "of", "the", "them", "those", "to")
)
HEADS = frozenset(("kind", "size", "sizes", "jar", "jars", "mouth", "note", "notes", *STATES))
TOKEN = re.compile(r"(?<!\S)-\d+|\d+(?:\.\d+)?|[^\W\d_]+|[^\s\w]")
PUNCTUATION = frozenset(":;,.()-\u2013=|/+&*\u00b7")


@dataclass(frozen=True)
class Read:
    """What one line says: numbers by full, empty, spare of a kind, or lids, bands of a mouth."""

    number: int
    text: str
    key: str
    numbers: Mapping[str, int]
    mouth_said: bool = True

    @property
    def is_lids(self) -> bool:
        """Whether the key is a mouth, and the numbers are lids and bands."""
        return self.key not in KINDS


@dataclass(frozen=True)
class Wrong:
    """A line that cannot be read, and why."""

    number: int
    text: str
    reason: str


@dataclass(frozen=True)
class Pasted:
    """A list, read."""

    lines: tuple[Read, ...]
    wrong: tuple[Wrong, ...]


class _Unread(ValueError):
    """Why a line cannot be read."""


def read_list(text: str, known: Collection[str] = ()) -> Pasted:
    r"""Read a list, line by line.

    Parameters:
        text: lines such as "24 quarts wide spare", or columns set apart by tabs, with a line of
            heads above them or as size, mouth, full, empty, spare. Empty lines are passed over.
        known: kinds that the household has had. Where a line names no mouth it is the one that
            the household has of that size, else regular.

    >>> [(line.key, dict(line.numbers)) for line in read_list("qt reg 12 full, 6 empty").lines]
    [('quart_regular', {'full': 12, 'empty': 6})]
    >>> [(line.number, line.reason) for line in read_list("pints 3 empty\n24 pints").wrong]
    [(2, 'Say whether the 24 are full, empty or spare.')]
    """
    lines, wrong, seen = [], [], dict[tuple[str, str], int]()
    heads: list[str] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        if found := _heads(line):
            heads = found
            continue
        try:
            read = _read(number, line.strip(" \r\n"), heads=heads, known=known)
            _once(read, seen)
            lines.append(read)
        except _Unread as reason:
            wrong.append(Wrong(number, " ".join(line.split()), str(reason)))
    return Pasted(tuple(lines), tuple(wrong))


def _heads(line: str) -> list[str]:
    """The heads of columns, where a line is that: words for what is counted, and no number."""
    cells = [cell.strip().lower() for cell in line.split("\t")]
    is_heads = len(cells) > 1 and not re.search(r"\d", line) and HEADS.intersection(cells)
    return [STATES.get(cell, cell) for cell in cells] if is_heads else []


def _once(read: Read, seen: dict[tuple[str, str], int]) -> None:
    for state in read.numbers:
        if before := seen.get((read.key, state)):
            raise _Unread(f"Line {before} has these already. Add both up, in one line.")
    seen |= {(read.key, state): read.number for state in read.numbers}


def _read(number: int, line: str, *, heads: list[str], known: Collection[str]) -> Read:
    text = _named(line, heads).lower() if "\t" in line and heads else line.lower()
    size, rest = _take(text, SIZES, "sizes")
    mouth, rest = _take(rest, MOUTHS, "mouths")
    is_lids = LIDS_OR_BANDS.intersection(_words(rest))
    if size is None and not is_lids:
        raise _Unread("No size of jar in it. Write half-pint, pint, quart, or ounces.")
    numbers = _numbers(rest)
    if size is None:
        if not set(numbers) <= LIDS_OR_BANDS:
            raise _Unread("No size of jar for the full, empty or spare ones.")
        if mouth is None:
            raise _Unread("Lids and bands fit one mouth: add regular or wide.")
        return Read(number, line, Mouth(mouth).value, numbers)
    if is_lids:
        raise _Unread("Lids and bands go by mouth, not by size: give them a line of their own.")
    key = kind_of(size, mouth or _likely_mouth(size, known))
    return Read(number, line, key, numbers, mouth_said=mouth is not None)


def _named(line: str, heads: list[str]) -> str:
    """A line of columns with the head of each number written after it."""
    cells = [cell.strip() for cell in line.split("\t")]
    named = []
    for head, cell in zip(heads, cells, strict=False):
        if head in STATES.values():
            named.append(f"{cell} {head}" if cell else "")
        elif head not in ("note", "notes"):
            named.append(cell)
    return " ".join(named)


def _take(text: str, names: tuple[tuple[str, str], ...], what: str) -> tuple[str | None, str]:
    """The one size or mouth that a text names, and the text without it."""
    found: set[str] = set()
    for pattern, meaning in names:
        shorter = re.sub(rf"(?<![\w.]){_loose(pattern)}(?!\w)", " ", text)
        if shorter != text:
            found.add(meaning)
            text = shorter
    if len(found) > 1:
        raise _Unread(f"Two {what} in one line. Give each a line of its own.")
    return (found.pop() if found else None), text


def _loose(pattern: str) -> str:
    """Ounces may be written out, and with a full stop."""
    return f"(?:{pattern.replace('oz', r'(?:oz|ounces?)')})"


def _numbers(text: str) -> dict[str, int]:
    """Numbers by what they count: each before its word or after it, or the three in their order."""
    tokens = list(_tokens(text))
    figures = [token for token in tokens if isinstance(token, int)]
    states = [token for token in tokens if isinstance(token, str)]
    if not figures:
        raise _Unread("No number in it.")
    if not states and len(figures) == len(IN_ORDER):
        return dict(zip(IN_ORDER, figures, strict=True))
    if not states:
        said = " and ".join(map(str, figures[:2]))
        raise _Unread(f"Say whether the {said} are full, empty or spare.")
    ahead = tokens if isinstance(tokens[0], int) else tokens[::-1]
    return _pairs(ahead, len(figures), len(states))


def _words(text: str) -> set[str]:
    return {STATES.get(token, token) for token in TOKEN.findall(text)}


def _pairs(tokens: list[int | str], figures: int, states: int) -> dict[str, int]:
    numbers: dict[str, int] = {}
    for figure, state in zip(tokens[::2], tokens[1::2], strict=False):
        if not isinstance(figure, int) or not isinstance(state, str) or state in numbers:
            break
        numbers[state] = figure
    if not len(numbers) == figures == states:
        raise _Unread("It is not clear which number is which: write 12 full, 30 empty, 6 spare.")
    return numbers


def _tokens(text: str) -> Iterator[int | str]:
    for token in TOKEN.findall(text):
        if token[-1].isdigit():
            yield _number(token)
        elif token in STATES:
            yield STATES[token]
        elif token not in FILLERS and token not in PUNCTUATION:
            raise _Unread(f"“{token}” is not a word of jars that is known here.")


def _number(token: str) -> int:
    if "." in token or not token.lstrip("-").isascii():
        raise _Unread(f"{token}: whole jars only.")
    if token.startswith("-"):
        raise _Unread(f"{token} is below zero.")
    if len(token) > len(str(MOST_JARS)) or int(token) > MOST_JARS:
        raise _Unread(f"{token[:12]} is more than {MOST_JARS:,} of one kind.")
    return int(token)


def _likely_mouth(size: str, known: Collection[str]) -> str:
    mouths = {
        mouth.value
        for mouth in Mouth
        if any(size_and_mouth(kind) == (size, mouth) for kind in known)
    }
    return mouths.pop() if len(mouths) == 1 else Mouth.REGULAR.value
