"""A household is told when its booking starts, when the thing is due back, and that it is late.

What is told, to whom and how long before: trade notes, section 9.
"""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.equipment.actions.booking import Wish, book, book_weekly
from coop.equipment.actions.changing import cancel, end_now, move
from coop.equipment.actions.fitness import Report, mend, report_fault
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.keeping import set_parts
from coop.equipment.actions.running import move_end
from coop.equipment.actions.things import ThingTerms, edit_thing
from coop.equipment.actions.walk_up import take_now
from coop.equipment.models import Booking
from coop.notices.models import Matter, Notice
from coop.notices.queries.inbox import to_read
from coop.notices.sources import put_right
from coop.people.actions.households import Details, edit_household
from tests.web.equipment_factories import HOUR, make_booking, make_out, make_thing
from tests.web.factories import NOW, make_household, make_member
from tests.web.notices.postman import post

PARTS = {"lid": 1, "rack": 2}
#: Thursday 13 August at 9:00 in Denver, and 18:00 of the day before.
START = NOW + timedelta(days=2)
EVENING_BEFORE = datetime(2026, 8, 13, 0, 0, tzinfo=UTC)


@pytest.fixture
def canner(coop):
    return make_thing(
        coop, name="Big Blue", parts=PARTS, home="Grange hall", turnaround_minutes=120
    )


@pytest.fixture
def booking(canner, household, member):
    wish = Wish(canner.pk, START, START + 3 * HOUR)
    return book([wish], household=household, by=member, purpose="corn")[0]


def sent_to(member):
    """The letters to a member that go out at this moment."""
    return [letter for letter in post() if letter.to == [member.user.email]]


def due(member, kind):
    """When a member is told of a kind, of what stands."""
    rows = Notice.objects.filter(member=member, matter__kind=kind, matter__dropped_at=None)
    return list(rows.order_by("due_at").values_list("due_at", flat=True))


def lines_of(letter):
    return letter.body.splitlines()


# ---- it starts ------------------------------------------------------------------------------
def test_the_evening_before_a_letter_says_what_where_and_when(booking, member, clock):
    assert sent_to(member) == []
    clock.move_to(EVENING_BEFORE)
    [letter] = sent_to(member)
    assert letter.subject == "Big Blue is yours Thu 13 Aug, 9:00 to 12:00"
    assert lines_of(letter)[0] == "Fetch Big Blue on Thu 13 Aug at 9:00."
    for line in (
        "How long: 3 h, for corn.",
        "To be had at: Grange hall. Ask the steward.",
        "With it: 1 lid and 2 racks.",
        "After use: 2 h until the next household can have it, Thu 13 Aug, 14:00.",
    ):
        assert line in lines_of(letter)
    assert f"/equipment/bookings/{booking.pk}/" in letter.body
    assert letter.body.count(" 9:00") == 2  # in its title, and in what to do


def test_the_whole_household_is_told_and_no_other(canner, household, member, clock):
    second = make_member(household)
    make_member(make_household(household.coop))
    book([Wish(canner.pk, START, START + HOUR)], household=household, by=member)
    clock.move_to(EVENING_BEFORE)
    told = {address for letter in post() for address in letter.to}
    assert told == {member.user.email, second.user.email}


def test_moved_it_is_told_before_its_new_time(booking, member, clock):
    move(booking.pk, START + 24 * HOUR, START + 27 * HOUR, by=member)
    clock.move_to(EVENING_BEFORE)
    assert sent_to(member) == []
    clock.move_to(EVENING_BEFORE + 24 * HOUR)
    [letter] = sent_to(member)
    assert letter.subject == "Big Blue is yours Fri 14 Aug, 9:00 to 12:00"


def test_moved_after_it_was_told_it_is_told_again(booking, member, clock):
    clock.move_to(EVENING_BEFORE)
    sent_to(member)
    move(booking.pk, START + 48 * HOUR, START + 51 * HOUR, by=member)
    clock.move_to(EVENING_BEFORE + 48 * HOUR)
    [letter] = sent_to(member)
    assert "Sat 15 Aug, 9:00 to 12:00" in letter.subject


def test_cancelled_nobody_is_told(booking, member, clock):
    cancel(booking.pk, by=member)
    clock.move_to(EVENING_BEFORE)
    assert sent_to(member) == []
    assert Matter.objects.get(kind="booking_starts").dropped_at  # calendars say that it is off


def test_a_season_of_bookings_is_told_week_by_week(canner, household, member, clock):
    book_weekly([Wish(canner.pk, START, START + 3 * HOUR)], 3, household=household, by=member)
    weeks = [EVENING_BEFORE + timedelta(weeks=week) for week in range(3)]
    assert due(member, "booking_starts") == weeks
    later = Booking.objects.order_by("starts_at")[1]
    cancel(later.pk, by=member, later_too=True)
    assert due(member, "booking_starts") == weeks[:1]


def test_what_is_told_of_a_season_costs_as_many_queries_as_of_one_week(
    canner, household, member, coordinator
):
    def queries_of(parts):
        with CaptureQueriesContext(connection) as made:
            set_parts(canner.pk, parts, by=coordinator)
        return len(made)

    book([Wish(canner.pk, START, START + HOUR)], household=household, by=member)
    one = queries_of({"lid": 1})
    wish = Wish(canner.pk, START + 24 * HOUR, START + 25 * HOUR)
    book_weekly([wish], 12, household=household, by=member)
    assert queries_of({"lid": 2}) == one
    told = Matter.objects.filter(kind="booking_starts").values_list("details", flat=True)
    assert sum("With it: 2 lids." in details for details in told) == 13


def test_what_the_letter_says_of_the_thing_keeps_up(booking, canner, member, coordinator, clock):
    terms = ThingTerms(name="Big Red", home="Barn", gauge="weighted", turnaround_minutes=120)
    edit_thing(canner.pk, terms, by=coordinator, owner=canner.owner)
    set_parts(canner.pk, {"lid": 1}, by=coordinator)
    clock.move_to(EVENING_BEFORE)
    [letter] = sent_to(member)
    assert letter.subject.startswith("Big Red is yours")
    assert "To be had at: Barn. Ask the steward." in lines_of(letter)
    assert "With it: 1 lid." in lines_of(letter)


def test_the_owner_is_to_be_asked_by_the_phone_that_is_theirs_now(
    coop, member, household, other_household, other_household_member, clock
):
    thing = make_thing(owner=other_household, name="Squeezo")
    book([Wish(thing.pk, START, START + HOUR)], household=household, by=member)
    edit_household(
        other_household.pk, Details("Dufresne", phone="555-0133"), by=other_household_member
    )
    clock.move_to(EVENING_BEFORE)
    [letter] = sent_to(member)
    assert "To be had at: Dufresne. Ask Dufresne, 555-0133." in lines_of(letter)


# ---- it is out of order -----------------------------------------------------------------------
def test_while_the_thing_is_out_of_order_the_start_says_not_to_count_on_it(
    booking, canner, member, coordinator, clock
):
    fault = report_fault(
        canner.pk, Report("other", "It smells of gas.", could_hurt=True), by=coordinator
    )
    matter = Matter.objects.get(kind="booking_starts")
    first = matter.sequence
    assert matter.to_do == "Do not count on Big Blue. It is out of order: It smells of gas."
    clock.move_to(EVENING_BEFORE)
    [letter] = sent_to(member)
    assert "Big Blue is out of order: booked from Thu 13 Aug at 9:00" in letter.body
    assert "Move it to another time, book another thing, or cancel it." in letter.body
    mend(fault.pk, "New hose.", by=coordinator)
    matter.refresh_from_db()
    assert matter.to_do == "Fetch Big Blue on Thu 13 Aug at 9:00."
    assert matter.sequence == first + 1  # calendars take the words that are so now
    assert put_right(canner.coop) == {}


def test_a_fault_to_see_to_leaves_the_start_as_it_is(booking, canner, coordinator):
    report_fault(canner.pk, Report("other", "A rack is bent.", stops="handover"), by=coordinator)
    assert Matter.objects.get(kind="booking_starts").to_do.startswith("Fetch Big Blue")


def test_once_it_is_handed_out_its_start_need_not_be_read(booking, canner, member, clock):
    clock.move_to(START - HOUR / 4)
    assert to_read(member, START - HOUR / 4).filter(matter__kind="booking_starts").exists()
    hand_out(booking.pk, Found(counted=PARTS), by=member)
    assert not to_read(member, START - HOUR / 4).filter(matter__kind="booking_starts").exists()
    assert not Matter.objects.get(kind="booking_starts").dropped_at  # calendars have it still
    assert put_right(canner.coop) == {}


# ---- it is due back -------------------------------------------------------------------------
@pytest.fixture
def out(canner, household, member):
    """The canner, out since this morning for three days."""
    made = take_now(
        canner.pk, NOW + 72 * HOUR, Found(counted=PARTS), household=household, by=member
    )
    return made.booking


def bring_back(booking, member, **found):
    return hand_back(booking.pk, FoundBack(bumped=False, counted=PARTS, **found), by=member)


def test_what_is_out_is_told_a_day_before_it_is_due_and_when_it_is(out, member, clock):
    clock.move_to(out.ends_at - 24 * HOUR)
    [before] = sent_to(member)
    clock.move_to(out.ends_at)
    [now] = sent_to(member)
    assert before.subject == now.subject == "Big Blue is due back Fri 14 Aug at 9:00"
    assert lines_of(now)[0] == "Bring back Big Blue by Fri 14 Aug at 9:00."
    assert "To: Grange hall. Ask the steward." in lines_of(now)


def test_of_a_short_booking_it_is_told_only_when_it_is_due(booking, member, clock):
    assert due(member, "booking_due") == []
    clock.move_to(START)
    hand_out(booking.pk, Found(counted=PARTS), by=member)
    assert due(member, "booking_due") == [START + 3 * HOUR]


def test_kept_longer_it_is_due_later(out, member, clock):
    move(out.pk, out.starts_at, out.ends_at + 24 * HOUR, by=member)
    later = out.ends_at + 24 * HOUR
    assert due(member, "booking_due") == [later - 24 * HOUR, later]
    assert due(member, "booking_late") == [later + HOUR, later + 24 * HOUR]


def test_once_back_nobody_is_told_that_it_is_due(out, member, clock):
    clock.shift(HOUR)
    bring_back(out, member)
    clock.move_to(out.ends_at + 48 * HOUR)
    assert sent_to(member) == []


def test_a_run_is_told_by_when_it_is_done_at_the_latest(coop, household, member, clock):
    dryer = make_thing(coop, "freeze_dryer", name="Frosty")
    run = take_now(dryer.pk, NOW + 40 * HOUR, Found(), household=household, by=member).booking
    move_end(run.pk, NOW + 30 * HOUR, NOW + 50 * HOUR, by=member)
    assert due(member, "booking_due")[-1] == NOW + 50 * HOUR
    clock.move_to(NOW + 50 * HOUR)
    letter = sent_to(member)[-1]
    assert lines_of(letter)[0] == "Be there when Frosty is done, by Thu 13 Aug at 11:00."
    assert "Likely done: Wed 12 Aug at 15:00." in lines_of(letter)


# ---- it is late -----------------------------------------------------------------------------
def test_what_is_not_back_is_told_after_an_hour_and_after_a_day(out, member, clock):
    clock.move_to(out.ends_at)
    sent_to(member)
    for after in (HOUR, 24 * HOUR):
        clock.move_to(out.ends_at + after)
        [letter] = sent_to(member)
        assert letter.subject == "Big Blue is late: it was due back Fri 14 Aug at 9:00"
        assert lines_of(letter)[0] == "Give Big Blue back now, and write down that it is back."


def test_brought_back_late_it_is_told_no_more(out, member, clock):
    clock.move_to(out.ends_at + 2 * HOUR)
    assert sent_to(member)
    bring_back(out, member)
    clock.move_to(out.ends_at + 25 * HOUR)
    assert sent_to(member) == []


def test_what_nobody_fetched_is_not_late(booking, member, clock):
    clock.move_to(START + 28 * HOUR)
    assert not [each for each in sent_to(member) if "late" in each.subject]


def test_ended_early_it_is_shorter_in_calendars(canner, household, member, clock):
    booking = book([Wish(canner.pk, NOW, NOW + 5 * HOUR)], household=household, by=member)[0]
    clock.shift(HOUR)
    end_now(booking.pk, by=member)
    matter = Matter.objects.get(kind="booking_starts", dropped_at=None)
    assert matter.ends_at == NOW + HOUR


def test_what_stood_before_notices_is_taken_up_by_its_next_act(canner, household, member):
    """Rows made without the acts, as by an older version."""
    old = make_booking(canner, household, start=NOW - HOUR)
    make_out(old)
    assert due(member, "booking_due") == []
    move(old.pk, old.starts_at, old.ends_at + HOUR, by=member)
    assert due(member, "booking_due") == [old.ends_at + HOUR]
