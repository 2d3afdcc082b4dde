"""The sums behind our small pictures: bars and containers, in whole units of their drawing."""

from dataclasses import dataclass
from fractions import Fraction

BAR_WIDTH = 100
#: More containers than this are said in words: nobody counts a longer row.
MOST_DRAWN = 24
WOVEN = frozenset({"bushel", "half-bushel", "peck"})
FOOT, RIM, LEFT, RIGHT = 28, 12, 4, 28
SLOPE = 4
HANDLE = "M10 12a6 8 0 0 1 12 0"
BOARDS = "M4 17.3h24M4 22.6h24"


@dataclass(frozen=True)
class Bar:
    """How much of what was wanted is there: width of the filled part, and short, full or over."""

    width: int
    state: str


def bar(got: int | Fraction, wanted: int | Fraction) -> Bar:
    """The filled part of a bar 100 wide; what is not quite full is never drawn full.

    >>> bar(540, 700), bar(350, 350).state, bar(360, 350).state, bar(9999, 10000).width
    (Bar(width=77, state='short'), 'full', 'over', 99)
    """
    if got >= wanted:
        return Bar(BAR_WIDTH, "over" if got > wanted else "full")
    width = int(Fraction(got) / Fraction(wanted) * BAR_WIDTH)
    return Bar(max(width, 1) if got else 0, "short")


@dataclass(frozen=True)
class Container:
    """One drawn container: the points of outline and filling, and the path of handle or boards."""

    outline: str
    filling: str
    handle: str


def containers(filled: int | Fraction, total: int, *, kind: str) -> list[Container]:
    """A row of containers filled one after the other; none where the row would be too long.

    >>> len(containers(Fraction(13, 2), 7, kind="bushel")), containers(1, 99, kind="box")
    (7, [])
    """
    if total > MOST_DRAWN:
        return []
    return [_drawn(_level(Fraction(filled) - place), kind) for place in range(total)]


def _level(left: Fraction) -> Fraction:
    return min(max(left, Fraction(0)), Fraction(1))


def _drawn(level: Fraction, kind: str) -> Container:
    """A basket narrows towards its foot, a crate does not. Drawn on 32 by 32."""
    slope = SLOPE if kind in WOVEN else 0
    handle = HANDLE if slope else BOARDS
    foot = f"{RIGHT - slope},{FOOT} {LEFT + slope},{FOOT}"
    outline = f"{LEFT},{RIM} {RIGHT},{RIM} {foot}"
    if not level:
        return Container(outline, "", handle)
    top, inset = FOOT - (FOOT - RIM) * level, slope - slope * level
    surface = f"{_plain(LEFT + inset)},{_plain(top)} {_plain(RIGHT - inset)},{_plain(top)}"
    return Container(outline, f"{surface} {foot}", handle)


def _plain(length: Fraction) -> str:
    return f"{float(length):.1f}"
