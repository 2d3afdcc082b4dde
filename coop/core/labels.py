"""Labels: where each stands on a printed sheet, and how large its text may be."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from fractions import Fraction
from itertools import chain

Millimetres = int | Fraction

#: Widths of characters in ems, rounded up from common sans-serif faces (from memory): a text that
#: fits by these fits in most of them. A monospaced or a wide face needs its own.
NARROW = Fraction(3, 10)
MIDDLE = Fraction(3, 5)
WIDE = Fraction(17, 20)
FULL = Fraction(1)
_NARROW = frozenset(" .,:;'!|()[]/-ijltfrI")
_WIDE = frozenset("mwMW@%&ABCDGHKNOQRUVXYZ")
ELLIPSIS = "…"


class DoesNotFit(ValueError):
    """Labels that a sheet cannot hold; `field` names the measure, `sentence` is for a person."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence


@dataclass(frozen=True)
class Sheet:
    """One sheet of labels, by its measures in millimetres, exact: integers or Fractions.

    Parameters:
        width_mm, height_mm: the paper, above 0.
        margin_left_mm, margin_top_mm: from the paper's edge to the first label, 0 or more. The
            same margins are not asked for on the right and at the foot.
        label_width_mm, label_height_mm: one label, above 0.
        gap_x_mm, gap_y_mm: between two labels side by side and one above the other, 0 or more
            (default 0).

    As many labels as fit stand in each row and each column.

    Raises: DoesNotFit, naming the field, if a measure is out of its bounds, or if not one label
    fits on the paper. ValueError if a measure is a float: they add up to a little too much.

    >>> sheet = Sheet(210, 297, 5, 10, 100, 55)
    >>> sheet.columns, sheet.rows, sheet.per_page
    (2, 5, 10)
    """

    width_mm: Millimetres
    height_mm: Millimetres
    margin_left_mm: Millimetres
    margin_top_mm: Millimetres
    label_width_mm: Millimetres
    label_height_mm: Millimetres
    gap_x_mm: Millimetres = 0
    gap_y_mm: Millimetres = 0

    def __post_init__(self) -> None:
        for field in fields(self):
            _check(field.name, getattr(self, field.name))
        _check_room("width", self.margin_left_mm + self.label_width_mm, self.width_mm)
        _check_room("height", self.margin_top_mm + self.label_height_mm, self.height_mm)

    @property
    def columns(self) -> int:
        """Labels side by side, 1 or more."""
        room = self.width_mm - self.margin_left_mm + self.gap_x_mm
        return int(room // (self.label_width_mm + self.gap_x_mm))

    @property
    def rows(self) -> int:
        """Labels one above the other, 1 or more."""
        room = self.height_mm - self.margin_top_mm + self.gap_y_mm
        return int(room // (self.label_height_mm + self.gap_y_mm))

    @property
    def per_page(self) -> int:
        """Labels on one sheet, 1 or more."""
        return self.columns * self.rows

    def places(self, count: int, first: int = 0) -> list[list[tuple[Fraction, Fraction]]]:
        """Where `count` labels stand, row by row from the top left, a list for each sheet.

        Parameters:
            count: labels to print, 0 or more.
            first: labels of the first sheet that are used already, 0 (the default) to per_page - 1.

        Returns: for each sheet the left and the top edge of each label, in millimetres from the
        paper's top left corner; no sheet for no label.

        Raises: DoesNotFit if `first` leaves no label on the sheet; ValueError if either is below 0.

        >>> Sheet(210, 297, 5, 10, 100, 55).places(2, first=9)
        [[(Fraction(105, 1), Fraction(230, 1))], [(Fraction(5, 1), Fraction(10, 1))]]
        """
        if count < 0 or first < 0:
            raise ValueError(f"Labels to print {count} and used {first}: neither is below 0.")
        if first >= self.per_page:
            raise DoesNotFit(
                "first",
                f"The sheet has {self.per_page} labels: at most {self.per_page - 1} can be used.",
            )
        pages: list[list[tuple[Fraction, Fraction]]] = []
        for number in range(first, first + count):
            if number % self.per_page == 0 or not pages:
                pages.append([])
            pages[-1].append(self._place(number % self.per_page))
        return pages

    def _place(self, number: int) -> tuple[Fraction, Fraction]:
        row, column = divmod(number, self.columns)
        return (
            Fraction(self.margin_left_mm + column * (self.label_width_mm + self.gap_x_mm)),
            Fraction(self.margin_top_mm + row * (self.label_height_mm + self.gap_y_mm)),
        )


@dataclass(frozen=True)
class FittedText:
    """A text as it goes on a label.

    Parameters:
        lines: one or more, the last with an ellipsis if `cut`.
        size_mm: the size of the font, in millimetres.
        cut: whether words were left out.
    """

    lines: tuple[str, ...]
    size_mm: Fraction
    cut: bool


def ems(text: str) -> Fraction:
    """About how wide a text is, in ems: sizes of its font.

    >>> ems("Will"), ems("")
    (Fraction(7, 4), Fraction(0, 1))
    """
    return sum((_em(character) for character in text), Fraction(0))


def fit_text(
    text: str, width_mm: Millimetres, size_mm: Millimetres, *, smallest_mm: Millimetres, lines: int
) -> FittedText:
    """The largest font, up to a size, in which a text fits a width in so many lines.

    Parameters:
        text: spaces of any kind count as one; a word is only broken where it is too
            wide for a line of the smallest size.
        width_mm: the room, above 0.
        size_mm: the size of font that is wanted, at least `smallest_mm`.
        smallest_mm: the smallest size that can still be read, above 0.
        lines: at most this many, 1 or more. Their height is not looked at.

    Returns: the text at `size_mm` or, if it must, smaller, in tenths of a millimetre; cut only
    where not even `smallest_mm` will do. Widths are estimates: see MIDDLE.

    Raises: ValueError if a measure is out of its bounds.

    >>> fit_text("Crushed tomatoes", 30, 4, smallest_mm=2, lines=2).lines
    ('Crushed', 'tomatoes')
    >>> fit_text("Crushed tomatoes", 16, 4, smallest_mm=3, lines=1)
    FittedText(lines=('Crushed…',), size_mm=Fraction(3, 1), cut=True)
    """
    if width_mm <= 0 or lines < 1 or not 0 < smallest_mm <= size_mm:
        raise ValueError(
            f"Text in {lines} lines, {width_mm} mm wide, from {smallest_mm} to {size_mm} mm: "
            "each must be above 0 and the smallest size not above the wanted one."
        )
    words = text.split()
    longest = max(map(ems, words), default=Fraction(0))
    for size in _sizes(size_mm, smallest_mm):
        room = width_mm / size
        wrapped = _wrap(words, room)
        if longest <= room and len(wrapped) <= lines:
            return FittedText(tuple(wrapped), size, cut=False)
    room = Fraction(width_mm) / smallest_mm
    pieces = [piece for word in words for piece in _pieces(word, room)]
    wrapped = _wrap(pieces, room)
    if len(wrapped) > lines:
        wrapped[lines - 1 :] = [_shortened(" ".join(wrapped[lines - 1 :]), room)]
        return FittedText(tuple(wrapped), Fraction(smallest_mm), cut=True)
    return FittedText(tuple(wrapped), Fraction(smallest_mm), cut=False)


def _check(name: str, value: Millimetres) -> None:
    words = name.removesuffix("_mm").replace("_", " ").capitalize()
    if not isinstance(value, int | Fraction):
        raise ValueError(f"{words} {value!r} mm is neither a whole number nor a Fraction.")
    may_be_zero = name.startswith(("margin", "gap"))
    if value < 0 or (value == 0 and not may_be_zero):
        asked = "0 or more" if may_be_zero else "above 0"
        raise DoesNotFit(name, f"{words} {_plain(value)} mm: it must be {asked}.")


def _check_room(side: str, needed: Millimetres, there: Millimetres) -> None:
    if needed > there:
        raise DoesNotFit(
            f"label_{side}_mm",
            f"Label {side}: with its margin a label takes {_plain(needed)} mm, "
            f"and the paper has {_plain(there)} mm.",
        )


def _plain(millimetres: Millimetres) -> str:
    return f"{float(millimetres):.10g}"


def _em(character: str) -> Fraction:
    if character in _NARROW:
        return NARROW
    if character in _WIDE:
        return WIDE
    if character == ELLIPSIS:
        return FULL
    # Past the European alphabets a character may be as wide as the font is high.
    return MIDDLE if ord(character) < 0x0590 else FULL  # noqa: PLR2004


def _sizes(wanted: Millimetres, smallest: Millimetres) -> Iterator[Fraction]:
    """From the wanted size down by tenths of a millimetre, and last the smallest."""
    tenths = range(int((wanted - smallest) * 10) + 1)
    falling = (Fraction(wanted) - Fraction(step, 10) for step in tenths)
    return chain(falling, [Fraction(smallest)])


def _wrap(words: list[str], room: Fraction) -> list[str]:
    """The words in as few lines as they go in; a word too wide alone stands in one of its own."""
    lines = [""]
    for word in words:
        longer = f"{lines[-1]} {word}".strip()
        if ems(longer) <= room or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _pieces(word: str, room: Fraction) -> Iterator[str]:
    """A word, broken where the room ends; one character at least in each piece."""
    piece = ""
    for character in word:
        if piece and ems(piece + character) > room:
            yield piece
            piece = ""
        piece += character
    yield piece


def _shortened(text: str, room: Fraction) -> str:
    """As much of a text as leaves room for an ellipsis, which stands in any case."""
    while text and ems(text + ELLIPSIS) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS
