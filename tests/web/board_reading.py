"""Reading the board of equipment in tests: a thing's bar, its bookings by name, its words."""

from typing import Any

from bs4 import Tag

from coop.equipment.models import Thing
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW
from tests.web.reading import main_of, words

BOARD = "/cottonwood/equipment/"
#: NOW is Tuesday 11 August 2026, 9:00 in Denver; the day began 9 hours before.
MIDNIGHT = NOW - 9 * HOUR


def bar_of(page: Any, thing: Thing) -> Tag:
    """The bar of a thing."""
    bar = main_of(page).select_one(f"#thing-{thing.pk} svg.board-bar")
    assert isinstance(bar, Tag)
    return bar


def names_in(page: Any, thing: Thing) -> list[str]:
    """The names of the bookings in a bar, in the order of Tab."""
    return [str(link["aria-label"]) for link in bar_of(page, thing).select("a[aria-label]")]


def row_of(page: Any, thing: Thing) -> str:
    """What a row says in words."""
    row = main_of(page).select_one(f"#thing-{thing.pk}")
    assert isinstance(row, Tag)
    return words(row)
