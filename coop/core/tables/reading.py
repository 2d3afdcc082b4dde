"""Reading one table from its text, and refusing it where a row cannot be right."""

import csv
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from itertools import pairwise
from types import MappingProxyType
from typing import Any, get_type_hints

from coop.core.tables.kinds import PRESSURE_METHODS, Kind
from coop.core.tables.rows import ProcessRow

#: The header is line 1, so the first row stands on line 2.
FIRST_LINE = 2


class WrongTable(ValueError):
    """A row that breaks the checks: which table, which line, and what is wrong with it."""

    def __init__(self, table: str, line: int, what: str) -> None:
        """Say `what` is wrong on `line`, counted from 1 with the header, of the named table."""
        super().__init__(f"Table {table}, line {line}: {what}")
        self.table, self.line, self.what = table, line, what


@dataclass(frozen=True)
class Table:
    """A table as it is printed: its name, title, a sentence about it, columns and rows of text."""

    name: str
    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, str], ...]


@dataclass(frozen=True)
class Loaded:
    """A table that passed its checks: as printed, and its rows with figures."""

    table: Table
    rows: tuple[Any, ...]


def _whole(cell: str) -> int:
    if not re.fullmatch(r"[0-9]+", cell):
        raise ValueError(f"{cell!r} is not a whole number")
    return int(cell)


def _figure(cell: str) -> Fraction:
    if not re.fullmatch(r"[0-9]+(\.[0-9]+)?", cell):
        raise ValueError(f"{cell!r} is not a number")
    return Fraction(cell)


def _yes(cell: str) -> bool:
    if cell not in {"", "yes"}:
        raise ValueError(f"{cell!r} is neither yes nor empty")
    return cell == "yes"


def _sources(cell: str) -> tuple[str, ...]:
    if not cell:
        raise ValueError("no source is named")
    return tuple(cell.split(";"))


#: How a cell is read, by the type of its field.
READERS: Mapping[object, Callable[[str], object]] = {
    str: str,
    int: _whole,
    Fraction: _figure,
    int | None: lambda cell: _whole(cell) if cell else None,
    Fraction | None: lambda cell: _figure(cell) if cell else None,
    bool: _yes,
    tuple[str, ...]: _sources,
}


def read_table(kind: Kind, text: str, source_keys: Collection[str]) -> Loaded:
    """One table from the text of its CSV file.

    Parameters:
        kind: which table it is, with the words that its columns may hold.
        text: the whole file, its header first.
        source_keys: the keys that are spelled out; a row may name no other.

    Returns: the table as printed, and its rows as `kind.row` with whole numbers and Fractions.

    Raises: WrongTable, naming the table, the line and what is wrong: another header; a row with
    more or fewer cells; a cell that is empty, no number, or no known word where it must be; an
    unknown source; a low figure above its high one; a pressure without a pressure canner, or the
    other way round; minutes that are 0; bands of altitude that overlap or do not begin at 0.
    """
    lines = csv.reader(text.splitlines())
    columns = tuple(next(lines, ()))
    named = tuple(each.name.rstrip("_") for each in fields(kind.row))
    if columns != named:
        raise WrongTable(kind.name, 1, f"the columns are not {', '.join(named)}.")
    printed, rows = [], []
    for line, cells in enumerate(lines, FIRST_LINE):
        try:
            values = _read_row(kind, columns, cells)
            _check_row(kind, values, source_keys)
        except ValueError as wrong:
            raise WrongTable(kind.name, line, f"{wrong}.") from None
        printed.append(MappingProxyType(dict(zip(columns, cells, strict=True))))
        rows.append(kind.row(*values.values()))
    if kind.banded:
        _check_bands(kind, rows)
    return Loaded(Table(kind.name, kind.title, kind.about, columns, tuple(printed)), tuple(rows))


def _read_row(kind: Kind, columns: tuple[str, ...], cells: list[str]) -> dict[str, Any]:
    if len(cells) != len(columns):
        raise ValueError(f"{len(cells)} cells for {len(columns)} columns")
    values: dict[str, Any] = {}
    for column, hint, cell in zip(columns, _types(kind.row), cells, strict=True):
        try:
            values[column] = READERS[hint](cell)
        except ValueError as wrong:
            raise ValueError(f"{column}: {wrong}") from None
    return values


def _types(row: type[Any]) -> list[object]:
    return list(get_type_hints(row).values())


def _check_row(kind: Kind, values: Mapping[str, Any], source_keys: Collection[str]) -> None:
    _check_words(kind, values)
    for key in values.get("source", ()):
        if key not in source_keys:
            raise ValueError(f"source {key!r} is not spelled out")
    for column, low, high in _ranges(values):
        if low > high:
            raise ValueError(f"{column} {low} is above {high}")
    if "pressure_psi" in values:
        _check_pressure(values["method"], values["pressure_psi"])
    if kind.row is ProcessRow and not values["minutes"]:
        raise ValueError("minutes are 0")


def _check_words(kind: Kind, values: Mapping[str, Any]) -> None:
    for column in kind.named:
        if not values[column]:
            raise ValueError(f"{column} is empty")
    for column, words in kind.known.items():
        if values[column] not in words:
            raise ValueError(f"{column} {values[column]!r} is not known")


def _ranges(values: Mapping[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    for column, low in values.items():
        high = values.get(column.replace("low", "high"))
        if "_low" in column and low is not None and high is not None:
            yield column, low, high


def _check_pressure(method: str, psi: int | None) -> None:
    if method in PRESSURE_METHODS and not psi:
        raise ValueError(f"{method} without a pressure")
    if method not in PRESSURE_METHODS and psi is not None:
        raise ValueError(f"a pressure in {method}")


def _check_bands(kind: Kind, rows: list[Any]) -> None:
    """A gap between bands is no mistake: there nothing was published."""
    bands: dict[tuple[object, ...], list[tuple[int, int, Any]]] = {}
    for line, row in enumerate(rows, FIRST_LINE):
        key = tuple(getattr(row, column) for column in kind.banded)
        bands.setdefault(key, []).append((row.altitude_low_ft, line, row))
    for key, of_key in bands.items():
        of_key.sort(key=lambda band: band[:2])
        words = ", ".join(map(str, key))
        if of_key[0][0] != 0:
            raise WrongTable(kind.name, of_key[0][1], f"the bands of {words} do not begin at 0.")
        for (_, _, before), (low_ft, line, _) in pairwise(of_key):
            if before.altitude_high_ft is None or before.altitude_high_ft >= low_ft:
                raise WrongTable(kind.name, line, f"two bands of {words} overlap.")
