"""What equipment has to say on This week: bookings, what was told, what its keepers look after."""

from __future__ import annotations

from datetime import datetime

from coop.equipment.queries import week_keepers, week_mine
from coop.people import week
from coop.people.models import Member


def register() -> None:
    """Put equipment's part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """What the household's bookings want of it, and what waits for a keeper.

    Ten queries at most, however many things and bookings there are.
    """
    kept = week_keepers.kept_by(member, now)
    mine = week_mine.dues_of(member, now)
    as_steward = kept.dues if kept.as_steward else []
    as_owner = [] if kept.as_steward else kept.dues
    return week.Week(due=[*mine, *as_owner], waiting=as_steward, tiles=_tiles(kept))


def _tiles(kept: week_keepers.Kept) -> list[week.Tile]:
    """A way to book, where anything is shared."""
    if not kept.shared:
        return []
    about, beside = {"shared": kept.shared}, "equipment/week/beside.html"
    return [week.Tile("equipment/week/book.html", about, place=2, beside=beside)]
