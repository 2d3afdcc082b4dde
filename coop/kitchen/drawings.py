"""Labels as drawings, in millimetres: texts that fit, and a QR code as one path."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import segno

from coop.core.labels import FittedText, Millimetres, ems, fit_text

#: The quiet zone of a QR code, in modules (ISO/IEC 18004; from memory).
QUIET = 4
#: Below this a phone reads a label badly, and a person not at all. Common practice, no source.
SMALLEST_WIDTH_MM, SMALLEST_HEIGHT_MM = 25, 15
#: A line may shrink to this before words are left out: hard to read, but a date is whole.
SMALLEST_TEXT_MM = Fraction(4, 5)
PADDING_MM = Fraction(3, 2)
LARGEST_QR_MM = Fraction(26)
#: Part of the longer way that the QR code takes at most, when it stands beside or under the text.
QR_PART = Fraction(2, 5)
#: A label that is higher than wide by this much has its QR code under the text.
TALL = Fraction(5, 4)
#: What `fit_text` may use of the room: a wide face such as DejaVu Sans, tried on a printed sheet,
#: is wider than it reckons, and bold more so.
REGULAR, BOLD = Fraction(17, 20), Fraction(3, 4)
#: From one line to the next, and from the top of a line to its foot, in sizes of the font.
LINE, ASCENT = Fraction(6, 5), Fraction(19, 20)
DO_NOT_EAT = "DO NOT EAT"
#: A household's name no longer than this, in sizes of its font, stays in one row.
ONE_ROW_EMS = 14
#: The room that the sizes in `_lines_of` are made for; text grows with the room, to so many times
#: its size at most, and shrinks by so much at a time until it fits.
MADE_FOR_MM, LARGEST, STEP = 30, Fraction(2), Fraction(19, 20)


@dataclass(frozen=True)
class Label:
    """What a label says. `best_by` is "" where no storage life is published.

    `mark` is the letter of the household, `code` the lot code in groups, `url` what the QR holds.
    `is_bad`: nobody may eat them, and that stands in place of the best-by date.
    """

    household: str
    mark: str
    product: str
    put_up_as: str
    made: str
    best_by: str
    code: str
    url: str
    is_bad: bool = False


@dataclass(frozen=True)
class Words:
    """One line of text: x of its left edge, y of its foot line, its size, all in millimetres."""

    words: str
    x: str
    y: str
    size: str
    is_bold: bool


@dataclass(frozen=True)
class Drawn:
    """One label as SVG wants it, from its own top left corner."""

    lines: tuple[Words, ...]
    qr_path: str
    qr_x: str
    qr_y: str
    qr_scale: str


@dataclass(frozen=True)
class _Line:
    """A line that is wanted, in at most so many rows; `size` is in mm, before it is scaled."""

    text: str
    size: Fraction
    rows: int = 1
    is_bold: bool = False


def draw_label(label: Label, width_mm: Millimetres, height_mm: Millimetres) -> Drawn:
    """A label of a size: text at the left, its QR code at the right or below."""
    width, height = Fraction(width_mm), Fraction(height_mm)
    matrix = qr_matrix(label.url)
    modules = len(matrix) + 2 * QUIET
    is_tall = height > width * TALL
    side = min(height, width, LARGEST_QR_MM, max(width, height) * QR_PART)
    room_x = width - 2 * PADDING_MM - (0 if is_tall else side)
    room_y = height - 2 * PADDING_MM - (side if is_tall else 0)
    left = (width - side) / 2 if is_tall else width - side
    top = height - side if is_tall else (height - side) / 2
    module = side / modules
    return Drawn(
        lines=tuple(_set_in(_lines_of(label), room_x, room_y)),
        qr_path=qr_path(matrix),
        qr_x=plain(left + QUIET * module),
        qr_y=plain(top + QUIET * module),
        qr_scale=plain(module, digits=5),
    )


def qr_matrix(text: str) -> list[bytes]:
    """The modules of a QR code, 1 for dark, row by row, without the quiet zone."""
    code = segno.make(text, error="m", micro=False)
    return [bytes(row) for row in code.matrix]


def qr_path(matrix: list[bytes]) -> str:
    """The dark modules as one path, one unit a module: a bar for each run in a row.

    >>> qr_path([bytes([1, 1, 0, 1])])
    'M0 0h2v1h-2zM3 0h1v1h-1z'
    """
    return "".join(
        f"M{x} {y}h{length}v1h-{length}z"
        for y, row in enumerate(matrix)
        for x, length in _runs(row)
    )


def _runs(row: bytes) -> Iterator[tuple[int, int]]:
    """Where each run of dark modules begins, and how long it is."""
    start = 0
    while (start := row.find(1, start)) >= 0:
        end = row.find(0, start)
        end = len(row) if end < 0 else end
        yield start, end - start
        start = end


def _lines_of(label: Label) -> list[_Line]:
    """The lines of a label from the top."""
    household = f"{label.mark} \N{MIDDLE DOT} {label.household}"
    best = _Line(f"Best by {label.best_by}" if label.best_by else "", Fraction(5, 2))
    if label.is_bad:
        best = _Line(DO_NOT_EAT, Fraction(9, 2), is_bold=True)
    wanted = [
        _Line(label.product, Fraction(9, 2), rows=2, is_bold=True),
        _Line(label.put_up_as, Fraction(5, 2), rows=2),
        _Line(household, Fraction(3), rows=1 + (ems(household) > ONE_ROW_EMS), is_bold=True),
        _Line(f"Put up {label.made}", Fraction(5, 2)),
        best,
        _Line(f"Lot {label.code}", Fraction(7, 2), is_bold=True),
    ]
    return [line for line in wanted if line.text]


def _set_in(lines: list[_Line], room_x: Fraction, room_y: Fraction) -> list[Words]:
    """The lines one under the other, as large as the room allows, at most LARGEST times."""
    height = sum((line.size * LINE for line in lines), Fraction(0))
    scale = min(LARGEST, room_x / MADE_FOR_MM, room_y / height)
    while True:
        fitted = [_fit(line, line.size * scale, room_x) for line in lines]
        used = sum((text.size_mm * LINE * len(text.lines) for text in fitted), Fraction(0))
        if used <= room_y:
            return list(_placed(lines, fitted, PADDING_MM + (room_y - used) / 2))
        scale *= STEP


def _fit(line: _Line, size: Fraction, room: Fraction) -> FittedText:
    room *= BOLD if line.is_bold else REGULAR
    smallest = min(size, SMALLEST_TEXT_MM)
    return fit_text(line.text, room, size, smallest_mm=smallest, lines=line.rows)


def _placed(lines: list[_Line], fitted: list[FittedText], y: Fraction) -> Iterator[Words]:
    for line, text in zip(lines, fitted, strict=True):
        for words in text.lines:
            foot = plain(y + text.size_mm * ASCENT)
            yield Words(words, plain(PADDING_MM), foot, plain(text.size_mm), line.is_bold)
            y += text.size_mm * LINE


def plain(millimetres: Fraction | int, digits: int = 3) -> str:
    """A length as SVG writes it.

    >>> plain(Fraction(1, 3)), plain(Fraction(50))
    ('0.333', '50')
    """
    return f"{float(millimetres):.{digits}f}".rstrip("0").rstrip(".")
