"""Finding a time: the earliest over all things that would do, and what is left out and why."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from coop.equipment.queries.find_page import by_day, kinds_of, nearest
from coop.equipment.queries.finding import Hours, Search, find, look
from coop.equipment.queries.free import HORIZON, bookings_near
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_dial_canner,
    make_fault,
    make_gauge_test,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW, make_coop, make_household

DENVER = ZoneInfo("America/Denver")
CANNER = "pressure_canner"
THURSDAY = datetime(2026, 8, 13, 12, tzinfo=DENVER)  # the peaches turn


def search(minutes=180, *, until=THURSDAY, **fields):
    values = {"kind": CANNER, "minutes": minutes, "window": (NOW, until)}
    return Search(**(values | fields))


def said(slots):
    """The slots as (thing, start on Denver's clocks)."""
    return [(slot.thing.name, f"{slot.start.astimezone(DENVER):%a %H:%M}") for slot in slots]


def test_three_hours_on_any_dial_gauge_canner_before_the_peaches_turn_on_thursday(coop, household):
    busy = make_dial_canner(coop, name="Big Blue", turnaround_minutes=120)
    make_booking(busy, start=NOW, hours=24)
    make_dial_canner(coop, name="Wednesdays", hours=[(2, 17 * 60, 22 * 60)])
    make_thing(coop, name="Old Red", gauge="weighted")
    make_thing(coop, "water_bath_canner", name="Enamel")
    slots = find(household, search(gauge="dial"), NOW)
    # Big Blue is back on Wednesday at 9:00 and clean at 11:00.
    assert said(slots) == [("Big Blue", "Wed 11:00"), ("Wednesdays", "Wed 17:00")]
    assert [slot.end - slot.start for slot in slots] == [3 * HOUR, 3 * HOUR]


def test_the_turnaround_after_it_ends_by_the_next_booking(coop, household):
    canner = make_thing(coop, turnaround_minutes=120)
    make_booking(canner, start=NOW + 5 * HOUR - timedelta(minutes=1), hours=40)
    assert find(household, search(until=NOW + 24 * HOUR), NOW) == []
    assert len(find(household, search(179, until=NOW + 24 * HOUR), NOW)) == 1


def test_it_is_back_by_the_end_of_the_window(coop, household):
    make_thing(coop)
    assert find(household, search(until=NOW + 3 * HOUR), NOW)
    assert find(household, search(until=NOW + 3 * HOUR - timedelta(minutes=1)), NOW) == []


def test_nothing_is_found_in_the_past(coop, household):
    make_thing(coop)
    (slot,) = find(household, search(window=(NOW - 24 * HOUR, NOW + 24 * HOUR)), NOW)
    assert slot.start == NOW


def test_starts_are_on_a_quarter_of_an_hour_where_there_is_room(coop, household):
    make_thing(coop)
    (slot,) = find(household, search(), NOW + timedelta(minutes=1))
    assert slot.start == NOW + timedelta(minutes=15)


def test_what_is_out_of_order_is_named_and_not_offered(coop, household):
    rusty = make_thing(coop, name="Rusty")
    make_fault(rusty, sentence="The lid is cracked.")
    found = look(household, search(), NOW)
    assert found.slots == []
    ((thing, fitness),) = found.out_of_order
    assert (thing, fitness.stopping[0].sentence) == (rusty, "The lid is cracked.")


def test_what_is_to_see_to_is_offered_and_says_so(coop, household):
    make_fault(make_thing(coop), stops="handover", sentence="Not clean.")
    (slot,) = find(household, search(), NOW)
    assert [fault.sentence for fault in slot.fitness.to_see_to] == ["Not clean."]


def test_what_is_lent_for_less_is_named_and_not_offered(coop, household):
    short = make_thing(coop, longest_minutes=179)
    found = look(household, search(), NOW)
    assert (found.slots, found.lent_shorter) == ([], [short])
    assert found.longest_minutes == 179


def test_what_is_retired_or_of_another_coop_is_not_found(coop, household):
    make_thing(coop, retired_at=NOW)
    make_thing(make_coop())
    found = look(household, search(), NOW)
    assert (found.slots, found.out_of_order) == ([], [])


def test_one_thing_alone_can_be_asked_for(coop, household):
    wanted, _ = make_thing(coop), make_thing(coop)
    assert [slot.thing for slot in find(household, search(thing_id=wanted.pk), NOW)] == [wanted]


def test_least_jars_a_load_are_kept_and_what_nobody_knows_is_named(coop, household):
    # USDA Complete Guide 2015: the smallest holds four quart jars, the standard one seven.
    make_thing(coop, canner_class="small")
    standard = make_thing(coop, canner_class="standard")
    unknown = make_thing(coop)
    found = look(household, search(quarts=7), NOW)
    assert [slot.thing for slot in found.slots] == [standard]
    assert found.class_unknown == [unknown]


def test_times_of_its_own_canning_are_left_out_unless_asked_for(coop, household):
    make_thing(coop)
    own = make_booking(make_thing(coop, "water_bath_canner"), household, start=NOW, hours=4)
    found = look(household, search(), NOW)
    assert found.may_clash
    assert found.slots[0].start == own.ends_at
    assert find(household, search(even_if_busy=True), NOW)[0].start == NOW


def test_a_dehydrator_that_runs_by_itself_is_no_clash(coop, household):
    make_booking(make_thing(coop, "dehydrator"), household, start=NOW, hours=4)
    make_thing(coop)
    assert find(household, search(), NOW)[0].start == NOW


def test_canning_is_no_clash_with_a_dehydrator_that_runs_by_itself(coop, household):
    make_booking(make_thing(coop), household, start=NOW, hours=4)
    make_thing(coop, "dehydrator")
    assert find(household, search(kind="dehydrator"), NOW)[0].start == NOW


def test_the_canning_of_another_household_is_no_clash(coop, household, other_household):
    make_thing(coop)
    make_booking(make_thing(coop, "water_bath_canner"), other_household, start=NOW, hours=4)
    assert find(household, search(), NOW)[0].start == NOW


def test_what_is_offered_to_somebody_in_line_is_not_free(coop, household, other_household):
    canner = make_thing(coop)
    place = make_standby(canner, other_household)
    make_booking(canner, other_household, start=NOW, hours=2, held_until=NOW + HOUR, standby=place)
    assert find(household, search(), NOW)[0].start == NOW + 2 * HOUR


@pytest.mark.parametrize(
    ("hours", "first"),
    [
        (Hours.ANY, "Tue 09:00"),
        (Hours.WAKING, "Tue 09:00"),
        (Hours.DAY, "Tue 09:00"),
        (Hours.EVENING, "Tue 17:00"),
        (Hours.WEEKEND, "Sat 06:00"),
    ],
)
def test_times_lie_within_the_hours_asked_for(coop, household, hours, first):
    make_thing(coop, name="Big Blue")
    slots = find(household, search(until=NOW + timedelta(days=7), hours=hours), NOW)
    assert said(slots)[0] == ("Big Blue", first)


def test_each_day_has_a_time_of_its_own_where_hours_are_asked_for(coop, household):
    make_thing(coop)
    slots = find(household, search(until=NOW + timedelta(days=3), hours=Hours.EVENING), NOW)
    assert [at for _, at in said(slots)] == ["Tue 17:00", "Wed 17:00", "Thu 17:00"]


def test_what_is_longer_than_an_evening_begins_in_one(coop, household):
    make_thing(coop, "freeze_dryer")
    asked = search(40 * 60, kind="freeze_dryer", until=NOW + timedelta(days=4), hours=Hours.EVENING)
    assert said(find(household, asked, NOW))[0][1] == "Tue 17:00"


def test_the_gauge_that_is_out_of_date_goes_along_with_the_time(coop, household):
    tested, untested = make_dial_canner(coop, name="A"), make_dial_canner(coop, name="B")
    make_gauge_test(tested)
    slots = find(household, search(), NOW)
    assert [slot.thing for slot in slots] == [tested, untested]
    assert [slot.fitness.gauge_is_out_of_date for slot in slots] == [False, True]


# ---- nothing found ----------------------------------------------------------------------------
def test_where_nothing_is_found_the_nearest_is_named(coop, household):
    dial = make_dial_canner(coop, name="Dial")
    make_booking(dial, start=NOW + 2 * HOUR, hours=96)
    make_thing(coop, name="Weighted", gauge="weighted")
    asked = search(gauge="dial", hours=Hours.WAKING)
    near = nearest(household, asked, look(household, asked, NOW), NOW)
    assert said([near.looser]) == [("Weighted", "Tue 09:00")]
    assert said([near.later]) == [("Dial", "Sat 11:00")]
    assert near.shorter_minutes == 120


def test_another_kind_of_canner_is_never_the_nearest(coop, household):
    make_thing(coop, "water_bath_canner")
    asked = search()
    near = nearest(household, asked, look(household, asked, NOW), NOW)
    assert (near.later, near.looser, near.shorter_minutes) == (None, None, 0)


def test_nothing_is_looked_for_further_than_the_horizon(coop, household):
    make_booking(make_thing(coop), start=NOW, hours=24 * 93)
    asked = search(window=(NOW, NOW + timedelta(days=400)))
    assert find(household, asked, NOW) == []
    assert timedelta(days=92) == HORIZON


# ---- the page's other parts -------------------------------------------------------------------
def test_each_kind_that_the_coop_has_shows_its_earliest_time(coop, household):
    make_booking(make_thing(coop, name="Taken"), start=NOW, hours=200)
    make_thing(coop, "dehydrator", name="Nine Trays")
    canners, dryers = kinds_of(household, NOW)
    assert (canners.kind, canners.minutes, canners.count, canners.slot) == (CANNER, 180, 1, None)
    assert (dryers.slot.thing.name, dryers.slot.start) == ("Nine Trays", NOW)


def test_a_kind_is_not_shown_for_longer_than_it_is_lent(coop, household):
    make_thing(coop, longest_minutes=60)
    (canners,) = kinds_of(household, NOW)
    assert (canners.minutes, canners.slot.end) == (60, NOW + HOUR)


def test_times_stand_by_the_day_on_the_coops_clocks(coop, household):
    make_thing(coop, hours=[(1, 22 * 60, 1440), (2, 0, 2 * 60)])
    asked = search(60, until=THURSDAY)
    days = by_day(find(household, asked, NOW), coop, asked.window)
    # Ten in the evening of Tuesday in Denver is Wednesday in UTC.
    assert [(each.day.day, len(each.slots)) for each in days] == [(11, 1)]


# ---- however many -----------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_as_many_queries_for_three_hundred_things_as_for_one(
    coop, household, django_assert_num_queries
):
    make_dial_canner(coop)
    with django_assert_num_queries(6):
        assert len(find(household, search(), NOW)) == 1
    for _ in range(299):
        make_dial_canner(coop)
    with django_assert_num_queries(6):
        assert len(find(household, search(), NOW)) == 300
    with django_assert_num_queries(6):
        kinds_of(household, NOW)


@pytest.mark.sqlite  # about the page alone
def test_as_many_queries_for_many_bookings_as_for_none(coop, household, django_assert_num_queries):
    canner, others = make_thing(coop), make_household(coop)
    for number in range(100):
        make_booking(canner, others, start=NOW + (number - 50) * 12 * HOUR)
    with django_assert_num_queries(6):
        assert find(household, search(), NOW)


# ---- what touches a window --------------------------------------------------------------------
@pytest.mark.parametrize(
    ("start", "hours", "touches"),
    [(-4, 1, False), (-5, 3, False), (-4, 3, True), (-1, 30, True), (0, 1, True), (23, 5, True)],
)
def test_what_reaches_into_a_window_takes_its_time(coop, start, hours, touches):
    """Two hours of turnaround after each; the window is the day from now."""
    canner = make_thing(coop, turnaround_minutes=120)
    make_booking(canner, start=NOW - 300 * HOUR)
    make_booking(canner, start=NOW + 100 * HOUR)
    make_booking(canner, start=NOW - 5 * HOUR, hours=40, cancelled_at=NOW)
    booking = make_booking(canner, start=NOW + start * HOUR, hours=hours)
    near = list(bookings_near([canner.pk], (NOW, NOW + 24 * HOUR)))
    assert near == ([(canner.pk, booking.starts_at, booking.free_at)] if touches else [])


def test_a_booking_may_be_left_out_of_what_touches_a_window(coop):
    before = make_booking(make_thing(coop), start=NOW - HOUR)
    within = make_booking(before.thing, start=NOW + 3 * HOUR)
    window = NOW, NOW + 24 * HOUR
    near = bookings_near([before.thing_id], window, besides=[before.pk])
    assert [start for _, start, _ in near] == [within.starts_at]
    assert list(bookings_near([], window)) == []
