"""The board: which days and things it shows, how often it asks for them, and for whom it is."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from coop.equipment.models import Booking, Thing
from coop.people.models import Coop, Household, Member
from tests.web.board_reading import BOARD, MIDNIGHT, names_in
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_dial_canner,
    make_fault,
    make_out,
    make_thing,
)
from tests.web.factories import NOW
from tests.web.reading import main_of, text_of, words

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def red(coop: Coop) -> Thing:
    """A canner that cools two hours after use."""
    return make_thing(coop, name="Big Red", gauge="weighted", turnaround_minutes=120)


# ---- which days -----------------------------------------------------------------------------
def test_a_week_runs_from_monday_and_leads_to_its_days(
    as_member: Client, red: Thing, household: Household
) -> None:
    make_booking(red, household, start=MIDNIGHT + timedelta(days=5, hours=12))
    page = as_member.get(BOARD + "?view=week")
    assert "10 to 16 August" in text_of(page)
    assert names_in(page, red) == ["Big Red: Castell, Sun 12:00 to 15:00, then 2 h cooling"]
    days = main_of(page).select(".board-days a")
    assert len(days) == 7
    assert "day=2026-08-16&view=day" in str(days[-1]["href"])


@pytest.mark.parametrize(
    ("asked", "earlier", "later"),
    [
        ("?day=2026-08-11", "2026-08-10", "2026-08-12"),
        ("?day=2026-08-11&view=week", "2026-08-04", "2026-08-18"),
    ],
)
def test_there_is_a_way_to_the_days_before_and_after(
    as_member: Client, red: Thing, asked: str, earlier: str, later: str
) -> None:
    page = main_of(as_member.get(BOARD + asked))
    for rel, day in (("prev", earlier), ("next", later)):
        link = page.select_one(f".board-moves [rel={rel}]")
        assert link is not None
        assert f"day={day}" in str(link["href"])


@pytest.mark.parametrize(("day", "hours"), [(date(2026, 3, 8), 23), (date(2026, 11, 1), 25)])
def test_a_day_on_which_clocks_change_says_so(
    as_member: Client, red: Thing, day: date, hours: int
) -> None:
    assert f"this day has {hours} hours" in text_of(as_member.get(f"{BOARD}?day={day}"))


@pytest.mark.parametrize("asked", ["?day=someday", "?day=9999-12-31", "?kind=rocket", "?view=year"])
def test_what_cannot_be_shown_is_refused_and_the_board_of_today_stands(
    as_member: Client, red: Thing, asked: str
) -> None:
    page = as_member.get(BOARD + asked)
    assert page.status_code == 422
    assert main_of(page).select(".field-error")
    assert "Tuesday 11 August" in text_of(page)


# ---- which things ---------------------------------------------------------------------------
def test_one_kind_alone_can_be_shown(as_member: Client, coop: Coop, red: Thing) -> None:
    dryer = make_thing(coop, "dehydrator", name="Nine trays")
    page = main_of(as_member.get(BOARD + "?kind=dehydrator"))
    assert page.select_one(f"#thing-{dryer.pk}")
    assert not page.select_one(f"#thing-{red.pk}")
    find = page.select_one("a.button-main")
    assert find is not None
    assert find["href"] == "/cottonwood/equipment/find/?kind=dehydrator"


def test_kinds_stand_in_their_order_and_retired_things_nowhere(
    as_member: Client, coop: Coop, red: Thing
) -> None:
    make_thing(coop, "scale", name="A scale")
    make_thing(coop, "burner", name="Gone", retired_at=NOW)
    page = main_of(as_member.get(BOARD))
    assert [words(each) for each in page.select(".board-kind")] == ["Pressure canner", "Scale"]


def test_things_of_another_coop_are_not_on_it(as_member: Client, red: Thing) -> None:
    other = make_booking(make_thing(name="Somebody else's")).thing
    assert other.name not in text_of(as_member.get(BOARD))


def test_a_coop_without_things_is_invited_to_add_the_first(as_member: Client) -> None:
    page = main_of(as_member.get(BOARD))
    main_button = page.select_one("a.button-main")
    assert main_button is not None
    assert main_button["href"] == "/cottonwood/equipment/things/new/"


def test_many_things_come_in_pages_that_keep_what_was_asked(as_member: Client, coop: Coop) -> None:
    for place in range(21):
        make_thing(coop, "scale", name=f"Scale {place:02}")
    page = main_of(as_member.get(BOARD + "?view=week"))
    assert len(page.select(".board-row")) == 20
    following = page.select_one("a[rel=next][href*='page=2']")
    assert following is not None
    assert following["href"] == "?view=week&page=2"
    assert len(main_of(as_member.get(BOARD + "?page=2")).select(".board-row")) == 1


def test_it_asks_as_often_for_twenty_things_as_for_two(
    as_member: Client, coop: Coop, member: Member, django_assert_num_queries: Any
) -> None:
    def some(count: int) -> None:
        for place in range(count):
            thing = make_dial_canner(coop, hours=[(1, 0, 1440)])
            make_out(make_booking(thing, member.household, start=NOW - HOUR))
            make_booking(thing, member.household, start=NOW + (3 + place) * HOUR, hours=1)
            make_fault(thing, stops="handover")

    some(2)
    as_member.get(BOARD)
    with CaptureQueriesContext(
        connection,
    ) as few:
        as_member.get(BOARD)
    some(18)
    with django_assert_num_queries(len(few)):
        page = as_member.get(BOARD)
    assert len(main_of(page).select(".board-row")) == 20
    assert Booking.objects.count() == 40


# ---- to whom --------------------------------------------------------------------------------
def test_it_is_for_members_of_the_coop(
    as_outsider: Client, as_stranger: Client, signed_out: Client, red: Thing
) -> None:
    assert as_outsider.get(BOARD).status_code == 404
    assert as_stranger.get(BOARD).status_code == 404
    assert signed_out.get(BOARD).status_code == 302


def test_it_is_only_looked_at(as_member: Client, red: Thing) -> None:
    assert as_member.post(BOARD).status_code == 405
