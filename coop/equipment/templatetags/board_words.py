"""`{% load board_words %}`: the board in words. All that its picture shows is said too."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django import template
from django.urls import reverse
from django.utils.http import urlencode

from coop.equipment.board_drawing import DESK_BAR, PHONE_BAR
from coop.equipment.kinds import KINDS, ThingKind
from coop.equipment.models import Thing
from coop.equipment.queries.board import DAYS_IN_WEEK, Board, Booked, Free, View
from coop.equipment.queries.thing_page import usual_length
from coop.equipment.words import MINUTES_IN_HOUR, clock_said, length_said, moment_said

register = template.Library()

#: What is done with a thing after use, by kind; others are cleaned.
AFTERWARDS = {
    ThingKind.PRESSURE_CANNER: "cooling",
    ThingKind.WATER_BATH_CANNER: "cooling",
    ThingKind.FREEZE_DRYER: "defrosting",
}


@register.simple_tag
def booking_times(booked: Booked, board: Board, *, short: bool = False) -> str:
    """`{% booking_times booked board %}`: Tue 9:00 to 12:00, then 2 h cooling.

    With `short=True` without the day that a board of one day has in its title.
    """
    booking = booked.booking
    likely = (
        f", likely done {_moment_said(booking.expected_at, board)}"
        if booking.expected_at and booking.expected_at < booking.ends_at
        else ""
    )
    # What it really lasts until it is free again: a booking may have been made with another one.
    minutes = (booking.free_at - booking.ends_at) // timedelta(minutes=1)
    word = AFTERWARDS.get(ThingKind(booking.thing.kind), "cleaning")
    after = f", then {length_said(minutes)} {word}" if minutes else ""
    held = f", held until {_moment_said(booking.held_until, board)}" if booking.held_until else ""
    ends = (booking.starts_at, booking.ends_at)
    if short and {_local(each, board).date() for each in ends} == set(board.window.days):
        times = _clocks(booking.starts_at, booking.ends_at, board)
    else:
        times = span_said(booking.starts_at, booking.ends_at, board)
    return f"{times}{likely}{after}{held}"


@register.simple_tag
def booking_name(booked: Booked, board: Board) -> str:
    """`{% booking_name booked board %}`: Big Red: the Brandts, Tue 9:00 to 12:00, then 2 h cooling.

    The name of a booking's link in the picture.
    """
    booking = booked.booking
    who = f"offered to {booking.household}" if booked.is_held else str(booking.household)
    return f"{booking.thing}: {who}, {booking_times(booked, board)}"


def span_said(start: datetime, end: datetime, board: Board) -> str:
    """From when to when, the day by its name alone where the board shows it: Tue 9:00 to 12:00."""
    first, last = _local(start, board), _local(end, board)
    until = _clock(last) if first.date() == last.date() else _moment_said(end, board)
    return f"{_moment_said(start, board)} to {until}"


def _moment_said(moment: datetime, board: Board) -> str:
    local = _local(moment, board)
    day = local.date()
    # A weekday alone names one day: those of the board, and the morning after a single one.
    last = board.window.days[0] + timedelta(days=DAYS_IN_WEEK - 1)
    is_near = board.window.days[0] <= day <= last
    if not is_near:
        return moment_said(moment, board.coop)
    return f"{day:%a} {_clock(local)}"


def _local(moment: datetime, board: Board) -> datetime:
    return moment.astimezone(board.window.zone)


def _clocks(start: datetime, end: datetime, board: Board) -> str:
    first, last = _local(start, board), _local(end, board)
    return f"{_clock(first)} to {_clock(last)}"


def _clock(local: datetime) -> str:
    return clock_said(local.hour * MINUTES_IN_HOUR + local.minute)


@register.simple_tag
def free_times(free: Free, board: Board) -> str:
    """`{% free_times free board %}`: 14:00 to 18:00; of a week, with the day."""
    if free.end == board.window.end:
        local = _local(free.start, board)
        start = _clock(local) if board.view == View.DAY else _moment_said(free.start, board)
        return f"from {start} on"
    if board.view == View.DAY:
        return _clocks(free.start, free.end, board)
    return span_said(free.start, free.end, board)


@register.simple_tag
def book_url(thing: Thing, free: Free) -> str:
    """`{% book_url thing free %}`: the page that books it, this time filled in.

    As long as its kind is usually booked, or as it is free; without an end where the thing ends by
    itself, as its page proposes one.
    """
    end = free.start + usual_length(thing)
    end = min(end, free.until) if free.until else end
    zone = ZoneInfo(thing.coop.time_zone)
    asked = {"thing": str(thing.pk), "start": free.start.astimezone(zone).isoformat()}
    if not KINDS[thing.kind].ends_by_itself:
        asked["end"] = end.astimezone(zone).isoformat()
    return f"{reverse('equipment:book', args=[thing.coop.slug])}?{urlencode(asked)}"


@register.simple_tag
def board_url(board: Board, day: date | None = None, view: str = "") -> str:
    """`{% board_url board board.later %}`: the board of another day or view, its kind kept."""
    asked = {"day": (day or board.day).isoformat(), "view": view or board.view, "kind": board.kind}
    given = {name: value for name, value in asked.items() if value}
    return f"{reverse('equipment:board', args=[board.coop.slug])}?{urlencode(given)}"


@register.simple_tag
def board_title(board: Board) -> str:
    """`{% board_title board %}`: Tuesday 11 August, or 10 to 16 August; the year if another."""
    first, last = board.window.days[0], board.window.days[-1]
    year = f" {last.year}" if last.year != board.today.year else ""
    if board.view == View.DAY:
        return f"{first:%A} {first.day} {first:%B}{year}"
    start = f"{first.day}" if first.month == last.month else f"{first.day} {first:%B}"
    return f"{start} to {last.day} {last:%B}{year}"


@register.filter
def letter_classes(booked: Booked) -> str:
    """`{{ booked|letter_classes }}`: how much of a household's name its piece has room for."""
    piece = booked.drawn.use or booked.drawn.pieces[0]
    name = len(booked.booking.household.name) + 2
    room = {
        "letter-on-phones": piece.holds(1, bar=PHONE_BAR),
        "letter-on-desks": piece.holds(1, bar=DESK_BAR),
        "name-on-desks": piece.holds(name, bar=DESK_BAR),
    }
    return " ".join(name for name, has_room in room.items() if has_room)
