"""The published tables as pages show them: in words, with their sources, searched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import Http404

from coop.core.preserving import Process, also_under, processes_at, words
from coop.core.tables import TABLES, Table, process_rows, spelled_out

#: Most rows that a search through all tables shows of each.
MOST_FOUND = 20

#: Columns whose keys have words of their own; other keys lose their underscores.
SAID = {
    "produce": words.produce_words,
    "product": words.product_words,
    "form": words.form_words,
    "jar": words.jar_words,
    "acid": words.acid_words,
    "syrup": words.syrup_words,
}

#: Columns that hold figures, sentences or keys of sources: shown as they are printed.
AS_PRINTED = frozenset(
    {"source", "note", "gist", "spelled_out", "key", "id", "blanch_note", "relation", "basis"}
)

COLUMN_WORDS = {
    "lb_per_7qt_load": "lb a load of 7 quarts",
    "lb_per_9pt_load": "lb a load of 9 pints",
    "pressure_psi": "pressure, psi",
    "headspace_in": "headspace, in",
    "altitude_low_ft": "from ft",
    "altitude_high_ft": "to ft",
    "gist": "caution",
}


@dataclass(frozen=True)
class Column:
    """A column: its key, its head, and whether it holds figures."""

    key: str
    words: str
    is_number: bool

    @property
    def is_long(self) -> bool:
        """Whether its cells hold names or sentences, which take a whole line on a phone."""
        return self.key in AS_PRINTED or (self.key in SAID and self.key != "jar")


@dataclass(frozen=True)
class Line:
    """One row in words, as (cell, its column), and its source keys."""

    cells: tuple[tuple[str, Column], ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Shown:
    """A table as a page shows it; `lines` are those that a search left, all of them without one."""

    table: Table
    columns: list[Column]
    lines: list[Line]


def shown(name: str, search: str = "") -> Shown:
    """A table by its name, with the rows in which every word of the search stands. Unknown: 404."""
    if name not in TABLES:
        raise Http404
    table = TABLES[name]
    rows = [row for row in table.rows if _is_found(row, search)]
    # A column that is empty in every row left would only make the others narrow.
    columns = [
        Column(key, column_said(key), _holds_numbers(table, key))
        for key in table.columns
        if key != "source" and any(row[key] for row in rows)
    ]
    return Shown(table, columns, [_line(row, columns) for row in rows])


def found_in_all(search: str) -> list[Shown]:
    """The tables in which a search finds something."""
    return [found for name in TABLES if (found := shown(name, search)).lines]


def published_at(altitude_ft: int, produce: str) -> list[Process]:
    """Every process of a food at an altitude, those for any such fruit last."""
    foods = (produce, *also_under(produce))
    return [each for food in foods for each in processes_at(altitude_ft, food)]


def is_canned(produce: str) -> bool:
    """Whether some process is published for a food, at whatever altitude."""
    foods = (produce, *also_under(produce))
    return any(row.produce in foods for row in process_rows())


def sources_of(lines: Sequence[Line]) -> list[tuple[str, str]]:
    """Each source key of some rows once, in order, and what it stands for."""
    keys = sorted({key for line in lines for key in line.sources})
    return [(key, spelled_out(key)) for key in keys]


def column_said(column: str) -> str:
    """The head of a column.

    >>> column_said("lb_per_7qt_load"), column_said("yield_low")
    ('lb a load of 7 quarts', 'yield low')
    """
    return COLUMN_WORDS.get(column) or column.replace("_", " ")


def cell_said(column: str, cell: str) -> str:
    """A cell in words; figures and sentences stay as they are printed.

    >>> cell_said("jar", "half_pint"), cell_said("container", "crate_24_quart")
    ('half-pint', 'crate 24 quart')
    """
    if not cell or column in AS_PRINTED:
        return cell
    said = SAID.get(column)
    return said(cell) if said else cell.replace("_", " ")


def _line(row: Mapping[str, str], columns: Sequence[Column]) -> Line:
    keys = tuple(key for key in row.get("source", "").split(";") if key)
    cells = tuple((cell_said(each.key, row[each.key]), each) for each in columns)
    return Line(cells, keys)


def _is_found(row: Mapping[str, str], search: str) -> bool:
    text = " ".join(f"{cell} {cell_said(column, cell)}" for column, cell in row.items()).lower()
    return all(word in text for word in search.lower().split())


def _holds_numbers(table: Table, column: str) -> bool:
    cells = [row[column] for row in table.rows if row[column]]
    return bool(cells) and all(cell.replace(".", "", 1).isdecimal() for cell in cells)
