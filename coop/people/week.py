"""This week: what is due for a household, put together from what each app has to say.

An app adds a function to `parts` in its `AppConfig.ready`. Each item names the template that says
it, which extends `people/week/due.html` or `people/week/tile.html` and reads `about`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from coop.people.models import Member


@dataclass(frozen=True)
class Due:
    """One thing to do, and when: `at` is its time in UTC, None for as soon as possible."""

    template: str
    about: Any
    at: datetime | None = None


@dataclass(frozen=True)
class Tile:
    """One number that matters. Tiles stand in the order of `place`."""

    template: str
    about: Any
    place: int = 0


@dataclass(frozen=True)
class Week:
    """What is due from the household, what waits for the member's role, and the numbers."""

    due: list[Due] = field(default_factory=list)
    waiting: list[Due] = field(default_factory=list)
    tiles: list[Tile] = field(default_factory=list)


#: What each app has to say to a member at a moment; a fixed number of queries each.
parts: list[Callable[[Member, datetime], Week]] = []


def week_of(member: Member, now: datetime) -> Week:
    """All parts put together: what has no time first, then by time."""
    said = [part(member, now) for part in parts]
    return Week(
        due=_in_order([due for week in said for due in week.due]),
        waiting=_in_order([due for week in said for due in week.waiting]),
        tiles=sorted((tile for week in said for tile in week.tiles), key=lambda tile: tile.place),
    )


def _in_order(dues: list[Due]) -> list[Due]:
    timeless = [due for due in dues if due.at is None]
    timed = [due for due in dues if due.at is not None]
    return timeless + sorted(timed, key=lambda due: due.at.timestamp() if due.at else 0)
