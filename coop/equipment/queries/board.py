"""The board of all things: who has what when, by day or by week, as rows to draw."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from django.core.paginator import Page, Paginator
from django.db.models import Case, IntegerField, Q, QuerySet, TextChoices, Value, When

from coop.core.spans import without
from coop.equipment.board_drawing import (
    HOURS_IN_DAY,
    Drawn,
    Mark,
    Piece,
    Span,
    Window,
    day_pieces,
    draw,
    hour_marks,
    hour_moments,
    next_quarter,
    sliced,
    window_of,
)
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking, Fault, Thing
from coop.equipment.queries.bookings import out_now, with_parties
from coop.equipment.queries.fitness import Fitness, fitness_in
from coop.equipment.queries.free import free_in, hours_of
from coop.equipment.queries.handovers import is_late
from coop.equipment.queries.things import things_in
from coop.people.models import Coop

THINGS_A_PAGE, MOST_OUT_LISTED = 20, 20
DAYS_IN_WEEK = 7
#: A day's free time is cut at these hours on the clocks, to choose between; marked by the same.
HOURS_A_SLICE = 3


class View(TextChoices):
    """How much the board shows at once."""

    DAY = "day", "Day"
    WEEK = "week", "Week"


@dataclass(frozen=True)
class Booked:
    """A booking of a row. `is_held`: an offer to somebody in line, not yet taken."""

    booking: Booking
    drawn: Drawn
    is_held: bool


@dataclass(frozen=True)
class Free:
    """A time that can still be booked, and its piece of the bar.

    `until` is when the free time ends that it is cut from; None where that goes on off the board.
    """

    start: datetime
    end: datetime
    piece: Piece
    until: datetime | None


@dataclass(frozen=True)
class Row:
    """One thing on the board.

    `closed` are the pieces in which it may not be out, `stopped` the time since a thing is out of
    order. `free` are the longest times that can be booked, `slices` the same cut up. `out` is the
    booking with which it is out now, `out_piece` since when, `late_piece` since when it is late.
    """

    thing: Thing
    fitness: Fitness
    booked: list[Booked]
    closed: list[Piece]
    stopped: Piece | None
    free: list[Free]
    slices: list[Free]
    out: Booking | None
    is_late: bool
    out_piece: Piece | None
    late_piece: Piece | None


@dataclass(frozen=True)
class Group:
    """The rows of one kind."""

    kind: ThingKind
    rows: list[Row]


@dataclass(frozen=True)
class Board:
    """What the board shows: rows by kind, and all that is out, late and out of order in the co-op.

    `kinds` are those that the co-op has, `page` is Django's page of things,
    `late` are those of `out` that should be back, `out_of_order` what stopped each thing first.
    """

    coop: Coop
    view: View
    day: date
    today: date
    kind: str
    window: Window
    kinds: list[ThingKind]
    groups: list[Group]
    page: Page[Thing]
    out: list[Booking]
    late: frozenset[Booking]
    out_of_order: list[Fault]
    now: datetime

    @property
    def out_listed(self) -> list[Booking]:
        """The first of what is out, the longest due first; the others are found on their rows."""
        return self.out[:MOST_OUT_LISTED]

    @property
    def out_unlisted(self) -> int:
        """How many are out besides those."""
        return len(self.out) - len(self.out_listed)

    @property
    def stopped_listed(self) -> list[Fault]:
        """The first of what is out of order, by name of the thing."""
        return self.out_of_order[:MOST_OUT_LISTED]

    @property
    def stopped_unlisted(self) -> int:
        """How many are out of order besides those."""
        return len(self.out_of_order) - len(self.stopped_listed)

    @property
    def step(self) -> timedelta:
        """From this board to the next."""
        return timedelta(days=len(self.window.days))

    @property
    def earlier(self) -> date:
        """A day of the board before."""
        return self.day - self.step

    @property
    def later(self) -> date:
        """A day of the board after."""
        return self.day + self.step

    @property
    def is_now(self) -> bool:
        """Whether the moment now is on the board."""
        return self.window.has(self.now)

    @property
    def is_past(self) -> bool:
        """Whether all of it is over."""
        return self.window.end <= self.now

    @property
    def now_mark(self) -> Mark:
        """Where the moment now stands."""
        return Mark(self.window.place(self.now), self.now.astimezone(self.window.zone).hour)

    @property
    def hours(self) -> list[Mark]:
        """The hours with a name on the board of a day."""
        return hour_marks(self.window, HOURS_A_SLICE)

    @property
    def days(self) -> list[tuple[date, Piece]]:
        """The days, each with its piece of the bar."""
        return day_pieces(self.window)

    @property
    def hours_changed(self) -> int:
        """How many hours the window is longer or, below zero, shorter than its days would be."""
        return self.window.hours - HOURS_IN_DAY * len(self.window.days)


def board_of(
    coop: Coop, day: date, *, view: View, kind: str, now: datetime, page: int | str | None = 1
) -> Board:
    """The board of a day, or of the week from its Monday; of one kind if said.

    Eleven queries, however many things and bookings there are.
    """
    zone = ZoneInfo(coop.time_zone)
    window = _window(day, view, zone)
    today = now.astimezone(zone).date()
    things = Paginator(_by_kind(things_in(coop, kind)), THINGS_A_PAGE).get_page(page)
    out = list(out_now(coop).prefetch_related("handovers"))
    return Board(
        coop=coop,
        view=view,
        day=day,
        today=today,
        kind=kind,
        window=window,
        kinds=_kinds_of(coop),
        groups=_grouped(_rows(list(things), window, out=out, now=now)),
        page=things,
        out=out,
        late=frozenset(each for each in out if is_late(each, now)),
        out_of_order=_out_of_order(coop),
        now=now,
    )


def _window(day: date, view: View, zone: ZoneInfo) -> Window:
    if view == View.DAY:
        return window_of(day, 1, zone)
    return window_of(day - timedelta(days=day.weekday()), DAYS_IN_WEEK, zone)


def _by_kind(things: QuerySet[Thing]) -> QuerySet[Thing]:
    """In the order of the kinds, then by name."""
    places = [When(kind=kind, then=Value(place)) for place, kind in enumerate(ThingKind.values)]
    order = Case(*places, default=Value(len(places)), output_field=IntegerField())
    return things.order_by(order, "name", "id")


def _kinds_of(coop: Coop) -> list[ThingKind]:
    there = set(coop.things.filter(retired_at=None).values_list("kind", flat=True).distinct())
    return [kind for kind in ThingKind if kind in there]


def _out_of_order(coop: Coop) -> list[Fault]:
    """What stopped each thing that cannot be booked, by name of the thing. One query."""
    stopping = Fault.objects.filter(
        thing__coop=coop, thing__retired_at=None, mended_at=None, stops=Fault.Stops.BOOKINGS
    )
    first: dict[int, Fault] = {}
    for fault in stopping.select_related("thing").order_by("thing__name", "thing_id", "at", "id"):
        first.setdefault(fault.thing_id, fault)
    return list(first.values())


def _grouped(rows: Iterable[Row]) -> list[Group]:
    return [
        Group(ThingKind(kind), list(same))
        for kind, same in groupby(rows, lambda row: row.thing.kind)
    ]


def _rows(
    things: Sequence[Thing], window: Window, *, out: Iterable[Booking], now: datetime
) -> list[Row]:
    booked = _booked(things, window, now)
    fitness = fitness_in(things, now.astimezone(window.zone).date())
    ahead = max(next_quarter(now), window.start), window.end
    free = free_in(things, ahead) if ahead[0] < ahead[1] else {}
    with_whom = {each.thing_id: each for each in out}
    cuts = hour_moments(window, HOURS_A_SLICE) if len(window.days) == 1 else []
    return [
        _row(
            thing,
            window,
            now,
            booked=booked[thing.pk],
            fitness=fitness[thing.pk],
            free=free.get(thing.pk, []),
            cuts=cuts,
            out=with_whom.get(thing.pk),
        )
        for thing in things
    ]


def _booked(things: Iterable[Thing], window: Window, now: datetime) -> dict[int, list[Booked]]:
    """The bookings of things in a window, and the offers that may still be taken. One query."""
    standing = Q(held_until=None) | Q(held_until__gt=now)
    rows = with_parties(
        Booking.objects.filter(
            standing,
            thing__in=things,
            cancelled_at=None,
            starts_at__lt=window.end,
            free_at__gt=window.start,
        ).order_by("starts_at", "id")
    )
    found: dict[int, list[Booked]] = defaultdict(list)
    for each in rows:
        drawn = draw(
            window,
            each.starts_at,
            each.ends_at,
            free_at=each.free_at,
            expected_at=each.expected_at,
        )
        if drawn:
            found[each.thing_id].append(Booked(each, drawn, each.held_until is not None))
    return found


def _row(
    thing: Thing,
    window: Window,
    now: datetime,
    *,
    booked: list[Booked],
    fitness: Fitness,
    free: list[Span],
    cuts: list[datetime],
    out: Booking | None,
) -> Row:
    # The earliest fault that still stops it: from then on it could not be booked.
    stopped_at = fitness.stopping[0].at if fitness.stopping else None
    spans = [] if stopped_at else free
    gone = out.handovers.all()[0].at if out else now
    return Row(
        thing=thing,
        fitness=fitness,
        booked=booked,
        closed=window.pieces(without([window.span], hours_of(thing, window.span))),
        stopped=window.piece(stopped_at, window.end) if stopped_at else None,
        free=_free(window, spans, spans),
        slices=_free(window, spans, sliced(spans, cuts)),
        out=out,
        is_late=is_late(out, now),
        out_piece=window.piece(gone, now) if out else None,
        late_piece=window.piece(out.ends_at, now) if out else None,
    )


def _free(window: Window, whole: Sequence[Span], cut: Iterable[Span]) -> list[Free]:
    """The pieces of free spans, as they are cut."""
    found = []
    for start, end in cut:
        piece = window.piece(start, end)
        if piece:
            until = next(last for _, last in whole if last >= end)
            found.append(Free(start, end, piece, until if until < window.end else None))
    return found
