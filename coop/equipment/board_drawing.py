"""The arithmetic of the board's picture: moments of some days as places along a bar.

Places are whole parts of the bar's width, so that pieces which touch share an edge. A bar is as
long as its days really are: 23 or 25 hours where clocks change, and its marks stand where the
clocks show them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

Span = tuple[datetime, datetime]
#: Parts of a bar's width: thousandths of a percent. A minute of a week is about ten of them.
WHOLE, PARTS_A_PERCENT = 100_000, 1000
HOURS_IN_DAY, QUARTER, DAY = 24, timedelta(minutes=15), timedelta(days=1)
#: About how wide a bar and its letters are, in px: on a phone of 360, and beside names on a desk.
PHONE_BAR, DESK_BAR = 290, 780
LETTER, LETTER_OF_NAME, NAME_MARGIN = 12, 8, 30
#: What is written nearer to an edge than this is written away from it.
EDGE = 6 * PARTS_A_PERCENT


def percent(parts: int) -> str:
    """Parts of the width as SVG reads them.

    >>> percent(37_500), percent(WHOLE)
    ('37.500%', '100.000%')
    """
    return f"{parts // PARTS_A_PERCENT}.{parts % PARTS_A_PERCENT:03}%"


@dataclass(frozen=True)
class Piece:
    """A piece of a bar, in parts of its width; `left` and `right` from 0 to `WHOLE`."""

    left: int
    right: int

    @property
    def width(self) -> int:
        """How many parts it is wide."""
        return self.right - self.left

    @property
    def x(self) -> str:
        """Where it begins, for SVG."""
        return percent(self.left)

    @property
    def w(self) -> str:
        """How wide it is, for SVG."""
        return percent(self.width)

    def holds(self, letters: int, *, bar: int) -> bool:
        """Whether so many letters fit into it on a bar of so many px; one letter needs no margin.

        >>> Piece(0, 12_500).holds(1, bar=PHONE_BAR), Piece(0, 12_500).holds(6, bar=DESK_BAR)
        (True, True)
        >>> Piece(0, 3_000).holds(1, bar=PHONE_BAR)
        False
        """
        needed = LETTER if letters <= 1 else letters * LETTER_OF_NAME + NAME_MARGIN
        return needed * WHOLE <= self.width * bar


@dataclass(frozen=True)
class Mark:
    """A full hour on the clocks, and where it stands; an hour that is shown twice stands twice."""

    place: int
    hour: int

    @property
    def x(self) -> str:
        """Where it stands, for SVG."""
        return percent(self.place)

    @property
    def anchor(self) -> str:
        """Which part of its words stands there, so that none of them is cut off.

        >>> Mark(0, 0).anchor, Mark(50_000, 12).anchor, Mark(99_000, 24).anchor
        ('start', 'middle', 'end')
        """
        if self.place < EDGE:
            return "start"
        return "end" if self.place > WHOLE - EDGE else "middle"


@dataclass(frozen=True)
class Window:
    """The days that a bar shows, and the moments of the midnights around them, in UTC."""

    days: tuple[date, ...]
    zone: ZoneInfo
    start: datetime
    end: datetime

    @property
    def span(self) -> Span:
        """From the first midnight to the last."""
        return self.start, self.end

    @property
    def hours(self) -> int:
        """How many whole hours it really lasts."""
        return (self.end - self.start) // timedelta(hours=1)

    def has(self, moment: datetime) -> bool:
        """Whether a moment is in it."""
        return self.start <= moment < self.end

    def place(self, moment: datetime) -> int:
        """Where a moment stands, from 0 to `WHOLE`; what is before or after stands at the edge."""
        inside = min(max(moment, self.start), self.end) - self.start
        return inside * WHOLE // (self.end - self.start)

    def piece(self, start: datetime, end: datetime) -> Piece | None:
        """The piece from one moment to another, cut at the edges; None where nothing is left."""
        if max(start, self.start) >= min(end, self.end):
            return None
        return Piece(self.place(start), self.place(end))

    def pieces(self, spans: Iterable[Span]) -> list[Piece]:
        """The pieces of spans, without those outside."""
        return [piece for start, end in spans if (piece := self.piece(start, end))]


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The moment at which a day begins on the clocks of a zone, in UTC."""
    return datetime.combine(day, time(), zone).astimezone(UTC)


def window_of(first: date, days: int, zone: ZoneInfo) -> Window:
    """So many days by the clocks of a zone, from the first midnight to the last.

    >>> window_of(date(2026, 11, 1), 1, ZoneInfo("America/Denver")).hours
    25
    """
    shown = tuple(first + DAY * number for number in range(days))
    return Window(shown, zone, midnight(first, zone), midnight(first + DAY * days, zone))


def hour_moments(window: Window, every: int) -> list[datetime]:
    """The moments at which the clocks show a full hour that `every` divides, in order, in UTC.

    A time that clocks leave out has none; one that they show twice has two.
    """
    shown = [
        datetime.combine(day, time(hour), window.zone)
        for day in window.days
        for hour in range(0, HOURS_IN_DAY, every)
    ]
    moments = {each.replace(fold=fold).astimezone(UTC) for each in shown for fold in (0, 1)}
    return sorted(
        moment
        for moment in moments
        if window.has(moment) and _is_full(moment.astimezone(window.zone), every)
    )


def _is_full(local: datetime, every: int) -> bool:
    return local.hour % every == 0 and local.minute == local.second == 0


def hour_marks(window: Window, every: int = 1) -> list[Mark]:
    """Where the clocks show a full hour."""
    return [
        Mark(window.place(moment), moment.astimezone(window.zone).hour)
        for moment in hour_moments(window, every)
    ]


def day_pieces(window: Window) -> list[tuple[date, Piece]]:
    """Each day with its piece of the bar; together they are all of it."""
    edges = [window.place(midnight(day, window.zone)) for day in window.days] + [WHOLE]
    return [
        (day, Piece(left, right))
        for day, (left, right) in zip(window.days, pairwise(edges), strict=True)
    ]


def sliced(spans: Iterable[Span], cuts: Sequence[datetime]) -> list[Span]:
    """Spans in order, cut at moments: slices that a thumb can choose between.

    >>> noon = datetime(2026, 8, 11, 12, tzinfo=UTC)
    >>> hour = timedelta(hours=1)
    >>> [each[0].hour for each in sliced([(noon, noon + 5 * hour)], [noon, noon + 3 * hour])]
    [12, 15]
    """
    found: list[Span] = []
    for start, end in spans:
        edges = [start, *(cut for cut in cuts if start < cut < end), end]
        found += pairwise(edges)
    return found


def next_quarter(moment: datetime) -> datetime:
    """The moment itself where the clock shows a quarter of an hour, else the next one that does.

    >>> next_quarter(datetime(2026, 8, 11, 9, 1, tzinfo=UTC)).minute
    15
    """
    over = (moment - datetime(1970, 1, 1, tzinfo=UTC)) % QUARTER
    return moment + (QUARTER - over if over else timedelta())


@dataclass(frozen=True)
class Drawn:
    """A booking on a bar: its use, what it may take longer, and the turnaround; any may be cut off.

    They touch, in this order. None of it is empty: `draw` gives no drawing for what is outside.
    """

    use: Piece | None
    longer: Piece | None
    turnaround: Piece | None

    @property
    def pieces(self) -> list[Piece]:
        """What of it is on the bar, in order."""
        return [each for each in (self.use, self.longer, self.turnaround) if each]

    @property
    def whole(self) -> Piece:
        """All of it in one piece."""
        return Piece(self.pieces[0].left, self.pieces[-1].right)


def draw(
    window: Window,
    starts_at: datetime,
    ends_at: datetime,
    *,
    free_at: datetime,
    expected_at: datetime | None = None,
) -> Drawn | None:
    """A booking as it is drawn: used until `expected_at`, perhaps until `ends_at`, free at
    `free_at`. None where nothing of it is in the window.
    """
    likely = expected_at or ends_at
    drawn = Drawn(
        window.piece(starts_at, likely),
        window.piece(likely, ends_at),
        window.piece(ends_at, free_at),
    )
    return drawn if drawn.pieces else None
