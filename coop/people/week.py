"""This week: what is due for a household, put together from what each app has to say.

An app adds a function to `parts` in its `AppConfig.ready`. Each item names the template that says
it, which extends `people/week/due.html` or `people/week/tile.html` and reads `about`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, ClassVar

from coop.people.models import Member


@dataclass(frozen=True)
class Due:
    """One thing to do, and when: `at` is its time in UTC, None for as soon as possible.

    `place`: what is urgent stands before everything else and so holds the main button; what is to
    be known rather than done stands last.
    """

    URGENT: ClassVar[int] = -1
    LAST: ClassVar[int] = 1

    template: str
    about: Any
    at: datetime | None = None
    place: int = 0


@dataclass(frozen=True)
class Tile:
    """One number that matters. Tiles stand in the order of `place`.

    `beside`: the template of a way to it beside the heading, where a phone shows it at once.
    """

    template: str
    about: Any
    place: int = 0
    beside: str = ""


@dataclass(frozen=True)
class Panel:
    """A list of its own, between what is due and the numbers."""

    template: str
    about: Any


@dataclass(frozen=True)
class Week:
    """What is due from the household, what waits for the member's role, lists, and the numbers.

    `unread`: how many notices the member has to read.
    """

    due: list[Due] = field(default_factory=list)
    waiting: list[Due] = field(default_factory=list)
    panels: list[Panel] = field(default_factory=list)
    tiles: list[Tile] = field(default_factory=list)
    unread: int = 0


#: What each app has to say to a member at a moment; a fixed number of queries each.
parts: list[Callable[[Member, datetime], Week]] = []


def week_of(member: Member, now: datetime) -> Week:
    """All parts put together: the urgent first, then what has no time, then by time."""
    said = [part(member, now) for part in parts]
    return Week(
        due=_in_order([due for week in said for due in week.due]),
        waiting=_in_order([due for week in said for due in week.waiting]),
        panels=[panel for week in said for panel in week.panels],
        tiles=sorted((tile for week in said for tile in week.tiles), key=lambda tile: tile.place),
        unread=sum(week.unread for week in said),
    )


def _in_order(dues: list[Due]) -> list[Due]:
    return sorted(dues, key=lambda due: (due.place, due.at.timestamp() if due.at else 0.0))
