"""The board: what it shows of each thing, in the picture and in words, and to whom."""

from datetime import date, timedelta
from typing import Any

import pytest
from bs4 import BeautifulSoup, Tag
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from coop.equipment.models import Booking, Thing
from coop.people.models import Coop, Household, Member
from tests.web.equipment_factories import (
    HOUR,
    make_back,
    make_booking,
    make_dial_canner,
    make_fault,
    make_out,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW
from tests.web.reading import main_of, text_of, words

BOARD = "/cottonwood/equipment/"
# NOW is Tuesday 11 August 2026, 9:00 in Denver; the day began 9 hours before.
MIDNIGHT = NOW - 9 * HOUR


@pytest.fixture
def red(coop: Coop) -> Thing:
    """A canner that cools two hours after use."""
    return make_thing(coop, name="Big Red", gauge="weighted", turnaround_minutes=120)


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


# ---- bookings -------------------------------------------------------------------------------
def test_a_booking_is_a_link_named_by_thing_household_times_and_turnaround(
    as_member: Client, red: Thing, household: Household
) -> None:
    booking = make_booking(red, household, start=MIDNIGHT + 14 * HOUR)
    page = as_member.get(BOARD)
    assert names_in(page, red) == ["Big Red: Castell, Tue 14:00 to 17:00, then 2 h cooling"]
    link = bar_of(page, red).select_one("a[aria-label]")
    assert link is not None
    assert link["href"] == f"/cottonwood/equipment/bookings/{booking.pk}/"
    assert "tabindex" not in link.attrs


def test_bookings_are_met_in_the_order_of_time_and_stand_in_words_too(
    as_member: Client, red: Thing, household: Household, other_household: Household
) -> None:
    make_booking(red, other_household, start=MIDNIGHT + 18 * HOUR, hours=1)
    make_booking(red, household, start=MIDNIGHT + 10 * HOUR, hours=2)
    page = as_member.get(BOARD)
    assert [name.split(",")[0] for name in names_in(page, red)] == [
        "Big Red: Castell",
        "Big Red: Dufresne",
    ]
    said = row_of(page, red)
    assert "Castell 10:00 to 12:00, then 2 h cooling" in said
    assert "Dufresne 18:00 to 19:00, then 2 h cooling" in said


def test_the_turnaround_is_hatched_after_the_use(
    as_member: Client, red: Thing, household: Household
) -> None:
    make_booking(red, household, start=MIDNIGHT + 12 * HOUR, hours=6)
    bar = bar_of(as_member.get(BOARD), red)
    use, after = bar.select_one(".board-use"), bar.select_one(".board-after")
    assert use is not None
    assert after is not None
    # Noon to 18:00 is the third quarter of the day; two hours more are a twelfth of it.
    assert (use["x"], use["width"]) == ("50.000%", "25.000%")
    assert (after["x"], after["width"]) == ("75.000%", "8.333%")
    assert after["fill"] == "url(#board-turnaround)"


def test_what_was_cancelled_and_an_offer_that_ran_out_are_not_shown(
    as_member: Client, red: Thing, household: Household
) -> None:
    make_booking(red, household, start=MIDNIGHT + 10 * HOUR, hours=1, cancelled_at=NOW)
    make_booking(
        red,
        household,
        start=MIDNIGHT + 14 * HOUR,
        hours=1,
        standby=make_standby(red, household),
        held_until=NOW - HOUR,
    )
    assert names_in(as_member.get(BOARD), red) == []


def test_an_offer_says_for_whom_it_is_held_and_until_when(
    as_member: Client, red: Thing, household: Household
) -> None:
    make_booking(
        red,
        household,
        start=MIDNIGHT + 14 * HOUR,
        standby=make_standby(red, household),
        held_until=NOW + 2 * HOUR,
    )
    page = as_member.get(BOARD)
    assert names_in(page, red) == [
        "Big Red: offered to Castell, Tue 14:00 to 17:00, then 2 h cooling, held until Tue 11:00"
    ]
    assert bar_of(page, red).select(".board-held")


def test_what_ends_by_itself_shows_its_likely_end_and_its_latest(
    as_member: Client, coop: Coop, household: Household
) -> None:
    dryer = make_thing(coop, "freeze_dryer", name="Freeze dryer", turnaround_minutes=360)
    make_booking(
        dryer, household, start=MIDNIGHT, hours=30, expected_at=MIDNIGHT + timedelta(hours=18)
    )
    page = as_member.get(BOARD)
    assert names_in(page, dryer) == [
        "Freeze dryer: Castell, Tue 0:00 to Wed 6:00, likely done Tue 18:00, then 6 h defrosting"
    ]
    longer = bar_of(page, dryer).select_one(".board-longer")
    assert longer is not None
    assert (longer["x"], longer["width"]) == ("75.000%", "25.000%")


# ---- out, late, out of order ----------------------------------------------------------------
def test_what_is_out_says_with_whom_and_their_phone_is_one_tap_away(
    as_member: Client, red: Thing, other_household: Household
) -> None:
    other_household.phone = "555 0142"
    other_household.save()
    make_out(make_booking(red, other_household, start=NOW - HOUR))
    page = as_member.get(BOARD)
    assert "Dufresne has it, until today at 11:00" in row_of(page, red)
    assert main_of(page).select_one(f'#thing-{red.pk} a[href="tel:555 0142"]')
    assert "1 out now" in text_of(page)
    assert bar_of(page, red).select(".board-is-out")
    assert not bar_of(page, red).select(".board-late")


def test_what_is_late_is_called_late_and_what_came_back_is_not(
    as_member: Client, red: Thing, coop: Coop, household: Household
) -> None:
    make_out(make_booking(red, household, start=NOW - 5 * HOUR, hours=2))
    other = make_thing(coop, name="Back again")
    back = make_booking(other, household, start=NOW - 5 * HOUR, hours=2)
    make_out(back)
    make_back(back)
    page = as_member.get(BOARD)
    assert "late" in row_of(page, red)
    assert bar_of(page, red).select(".board-late")
    assert "late" not in row_of(page, other)
    assert "1 out now, 1 late" in text_of(page)


def test_a_thing_out_of_order_says_why_and_offers_no_time(as_member: Client, red: Thing) -> None:
    before = bar_of(as_member.get(BOARD), red)
    assert before.select(".board-free")
    make_fault(red, sentence="The handle is loose.")
    page = as_member.get(BOARD)
    assert "out of order" in row_of(page, red)
    assert "The handle is loose." in row_of(page, red)
    assert not bar_of(page, red).select(".board-free")
    assert not main_of(page).select(f'#thing-{red.pk} a[href*="/book/"]')


def test_a_dial_gauge_without_a_test_warns_with_its_source(as_member: Client, coop: Coop) -> None:
    dial = make_dial_canner(coop, name="Old dial")
    said = row_of(as_member.get(BOARD), dial)
    assert "Gauge test out of date" in said
    assert "Complete Guide to Home Canning" in said


def test_hours_in_which_it_may_not_be_out_are_marked_and_not_free(
    as_member: Client, coop: Coop
) -> None:
    thing = make_thing(coop, name="Mornings", hours=[(1, 480, 720)])  # Tuesdays, 8:00 to 12:00
    page = as_member.get(BOARD)
    closed = bar_of(page, thing).select('rect[fill="url(#board-closed)"]')
    # 8 of 24 hours before, 12 of 24 after.
    assert [(rect["x"], rect["width"]) for rect in closed] == [
        ("0.000%", "33.333%"),
        ("50.000%", "50.000%"),
    ]
    assert "Free Book Mornings: free 9:00 to 12:00" in row_of(page, thing)


def test_who_has_what_is_told_for_twenty_things_and_the_others_are_counted(
    as_member: Client, coop: Coop, household: Household
) -> None:
    for place in range(22):
        make_out(
            make_booking(make_thing(coop, "scale"), household, start=NOW - HOUR, hours=place + 2)
        )
    out = main_of(as_member.get(BOARD)).select_one(".board-out")
    assert out is not None
    assert len(out.select(".row")) == 20
    assert "22 out now" in words(out)
    assert "And 2 others: all things" in words(out)


# ---- booking from it ------------------------------------------------------------------------
def test_free_time_leads_to_booking_it_filled_in(as_member: Client, red: Thing) -> None:
    page = as_member.get(BOARD)
    first = bar_of(page, red).select_one("a:has(.board-free)")
    assert first is not None
    assert first["tabindex"] == "-1"
    assert first["href"] == (
        f"/cottonwood/equipment/book/?thing={red.pk}"
        "&start=2026-08-11T09%3A00%3A00-06%3A00&end=2026-08-11T12%3A00%3A00-06%3A00"
    )
    words_link = main_of(page).select_one(f'#thing-{red.pk} .board-frees a[href*="/book/"]')
    assert words_link is not None
    assert "tabindex" not in words_link.attrs


def test_no_time_is_proposed_that_is_longer_than_it_is_lent(as_member: Client, coop: Coop) -> None:
    thing = make_thing(coop, name="Short loans", longest_minutes=60)
    link = main_of(as_member.get(BOARD)).select_one(f"#thing-{thing.pk} .board-frees a")
    assert link is not None
    assert str(link["href"]).endswith("&end=2026-08-11T10%3A00%3A00-06%3A00")


def test_yesterday_offers_no_time(as_member: Client, red: Thing) -> None:
    page = as_member.get(BOARD + "?day=2026-08-10")
    assert not bar_of(page, red).select(".board-free")
    assert "Nothing was booked." in row_of(page, red)


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


def test_nothing_in_the_picture_lies_outside_it(
    as_member: Client, red: Thing, household: Household
) -> None:
    make_out(make_booking(red, household, start=MIDNIGHT - 30 * HOUR, hours=100))
    bar = BeautifulSoup(str(bar_of(as_member.get(BOARD), red)), "html.parser")
    ends = [
        (float(str(rect["x"])[:-1]), float(str(rect["x"])[:-1]) + float(str(rect["width"])[:-1]))
        for rect in bar.select("rect[x]")
    ]
    assert len(ends) >= 3
    assert all(0 <= left < right <= 100.001 for left, right in ends)
