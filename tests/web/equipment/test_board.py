"""The board: what it shows of each thing, in the picture and in words, and to whom."""

from datetime import timedelta

import pytest
from bs4 import BeautifulSoup
from django.test import Client

from coop.equipment.models import Thing
from coop.people.models import Coop, Household
from tests.web.board_reading import BOARD, MIDNIGHT, bar_of, names_in, row_of
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

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def red(coop: Coop) -> Thing:
    """A canner that cools two hours after use."""
    return make_thing(coop, name="Big Red", gauge="weighted", turnaround_minutes=120)


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


def test_the_cross_hatching_begins_when_the_fault_was_said_and_the_list_names_it(
    as_member: Client, red: Thing
) -> None:
    make_fault(red, sentence="The lid is bent.", at=MIDNIGHT + 6 * HOUR)
    page = as_member.get(BOARD)
    (hatched,) = bar_of(page, red).select('rect[fill="url(#board-stopped)"]')
    assert (hatched["x"], hatched["width"]) == ("25.000%", "75.000%")  # from 6 of 24 hours on
    later = bar_of(as_member.get(f"{BOARD}?day=2026-08-12"), red)
    (hatched,) = later.select('rect[fill="url(#board-stopped)"]')
    assert (hatched["x"], hatched["width"]) == ("0.000%", "100.000%")
    before = bar_of(as_member.get(f"{BOARD}?day=2026-08-10"), red)
    assert not before.select('rect[fill="url(#board-stopped)"]')
    listed = words(main_of(page).select_one(".board-out"))  # type: ignore[arg-type]
    assert listed.startswith("Nothing is out; 1 out of order")
    assert "out of order Since today at 6:00 : The lid is bent." in listed


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
    assert "And 2 others out: all things" in words(out)


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


@pytest.mark.parametrize(
    ("kind", "until"),
    [("scale", "11%3A00"), ("dehydrator", "21%3A00"), ("pressure_canner", "12%3A00")],
)
@pytest.mark.sqlite  # about the page alone
def test_a_tap_on_free_time_fills_in_what_is_usual_for_the_kind(
    as_member: Client, coop: Coop, kind: str, until: str
) -> None:
    thing = make_thing(coop, kind)
    links = main_of(as_member.get(BOARD)).select(f'#thing-{thing.pk} a[href*="/book/"]')
    # In the bar and in words, from now on: 9:00 in Denver.
    for link in (links[0], links[-1]):
        assert f"&end=2026-08-11T{until}" in str(link["href"])


@pytest.mark.sqlite  # about the page alone
def test_a_tap_on_a_short_gap_fills_in_the_gap(
    as_member: Client, coop: Coop, household: Household
) -> None:
    thing = make_thing(coop, "dehydrator")
    make_booking(thing, household, start=NOW + 5 * HOUR)
    link = bar_of(as_member.get(BOARD), thing).select_one("a:has(.board-free)")
    assert link is not None
    assert "&end=2026-08-11T14%3A00" in str(link["href"])


def test_no_time_is_proposed_that_is_longer_than_it_is_lent(as_member: Client, coop: Coop) -> None:
    thing = make_thing(coop, name="Short loans", longest_minutes=60)
    link = main_of(as_member.get(BOARD)).select_one(f"#thing-{thing.pk} .board-frees a")
    assert link is not None
    assert str(link["href"]).endswith("&end=2026-08-11T10%3A00%3A00-06%3A00")


def test_yesterday_offers_no_time(as_member: Client, red: Thing) -> None:
    page = as_member.get(BOARD + "?day=2026-08-10")
    assert not bar_of(page, red).select(".board-free")
    assert "Nothing was booked." in row_of(page, red)


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
