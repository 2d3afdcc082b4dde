"""Booking things: the rules of a thing, all or none, and what the database decides."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.http import Http404

from coop.equipment.actions import rules
from coop.equipment.actions.booking import Wish, book
from coop.equipment.errors import NotAllowed, NotFit, OutsideHours, Refused, Taken, TooLate, TooLong
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking
from coop.people.changes import changes_of
from tests.web.equipment_factories import (
    HOUR,
    WHOLE_DAY,
    make_booking,
    make_fault,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
TOMORROW = NOW + DAY


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Red", turnaround_minutes=120)


@pytest.fixture
def booked(member):
    """Book things for the member's household; by default tomorrow for three hours."""

    def make(*things, start=TOMORROW, hours=3, **options):
        wishes = [Wish(each.pk, start, start + hours * HOUR) for each in things]
        options = {"household": member.household, "by": member} | options
        return book(wishes, **options)

    return make


# ---- one booking ----------------------------------------------------------------------------
def test_a_booking_keeps_the_turnaround_of_its_thing(booked, canner, member):
    [booking] = booked(canner, purpose="Peaches", about="buy:12")
    assert booking.free_at == TOMORROW + 5 * HOUR
    assert (booking.by, booking.purpose, booking.about) == (member, "Peaches", "buy:12")
    assert booking.together is None


def test_booking_is_written_into_the_history(booked, canner, member):
    [booking] = booked(canner)
    [change] = changes_of(canner.coop, booking)
    assert change.sentence == "Booked for Wed 12 Aug, 9:00 to 12:00."
    assert change.member == member


def test_bookings_may_touch_when_the_turnaround_is_kept(booked, canner, other_household):
    make_booking(canner, other_household, start=TOMORROW)
    booked(canner, start=TOMORROW + 5 * HOUR)
    booked(canner, start=TOMORROW - 5 * HOUR)
    assert Booking.objects.count() == 3


@pytest.mark.parametrize("start", [TOMORROW + 5 * HOUR - MINUTE, TOMORROW - 5 * HOUR + MINUTE])
def test_a_minute_of_the_turnaround_of_either_is_taken(booked, canner, other_household, start):
    make_booking(canner, other_household, start=TOMORROW)
    with pytest.raises(Taken):
        booked(canner, start=start)


def test_the_next_free_times_are_as_long_as_wanted_and_leave_the_turnaround(
    booked, canner, other_household
):
    make_booking(canner, other_household, start=TOMORROW)
    # Free again at 14:00 local; four hours and the turnaround fit before 20:30, two hours do not.
    make_booking(canner, other_household, start=TOMORROW + 11.5 * HOUR)
    with pytest.raises(Taken) as refusal:
        booked(canner, hours=4)
    start = TOMORROW + 5 * HOUR
    assert refusal.value.free[0] == (start, start + 4 * HOUR)
    assert str(refusal.value) == (
        "Big Red is taken: Dufresne has it Wed 12 Aug, 9:00 to 12:00. It needs 2 h after use, so "
        "it is not free until Wed 12 Aug, 14:00."
    )
    with pytest.raises(Taken) as refusal:
        booked(canner, hours=5)
    # It is free from 1:30 on: nobody fetches it then, so 6:00 is proposed, and a day later.
    assert [start for start, _ in refusal.value.free] == [
        TOMORROW + each * HOUR for each in (21, 45, 69)
    ]


def test_a_cancelled_booking_takes_no_time(booked, canner, other_household):
    make_booking(canner, other_household, cancelled_at=NOW)
    assert booked(canner)


def test_an_offer_that_is_held_is_not_taken_from_the_first_in_line(booked, canner, other_household):
    standby = make_standby(canner, other_household)
    make_booking(canner, other_household, held_until=NOW + HOUR, standby=standby)
    with pytest.raises(Taken, match="the next in line is offered it"):
        booked(canner)


def test_an_offer_that_ran_out_is_let_go_first(booked, canner, other_household):
    standby = make_standby(canner, other_household, ended_at=NOW)
    offer = make_booking(canner, other_household, held_until=NOW, standby=standby)
    assert booked(canner)
    offer.refresh_from_db()
    assert offer.cancelled_at == NOW


def test_the_same_booking_again_is_the_one_that_stands(booked, canner):
    assert booked(canner) == booked(canner)
    assert Booking.objects.count() == 1


def test_another_end_at_the_same_start_is_no_repetition(booked, canner):
    booked(canner)
    with pytest.raises(Taken):
        booked(canner, hours=4)


# ---- rules ----------------------------------------------------------------------------------
def test_who_stands_at_the_thing_may_book_from_a_few_minutes_ago(booked, canner):
    assert booked(canner, start=NOW - 10 * MINUTE)
    with pytest.raises(TooLate, match="has passed"):
        booked(canner, start=NOW - 11 * MINUTE - 10 * HOUR)


@pytest.mark.parametrize("hours", [0, -1])
def test_a_booking_that_ends_before_it_starts_is_refused(booked, canner, hours):
    with pytest.raises(Refused, match="ends before it starts"):
        booked(canner, hours=hours)


def test_a_thing_is_lent_no_longer_than_its_longest_loan(booked, coop):
    thing = make_thing(coop, longest_minutes=240)
    with pytest.raises(TooLong, match="4 h at the most, and this is 5 h"):
        booked(thing, hours=5)
    assert booked(thing, hours=4)


# In Denver, Wednesday 12 August 2026, 9:00 is NOW and a day.
@pytest.mark.parametrize(
    ("hours", "is_open"),
    [
        ([(2, 540, 720)], True),
        ([(2, 480, 600), (2, 600, 1440)], True),
        ([(2, 541, 720)], False),
        ([(2, 540, 719)], False),
        ([(2, 540, 600), (2, 660, 720)], False),
        ([(1, *WHOLE_DAY), (3, *WHOLE_DAY)], False),
    ],
)
def test_a_thing_is_out_only_within_its_hours(booked, coop, hours, is_open):
    thing = make_thing(coop, hours=hours)
    if is_open:
        assert booked(thing)
        return
    with pytest.raises(OutsideHours, match="Its hours"):
        booked(thing)


def test_hours_that_touch_at_midnight_are_one_time(booked, coop):
    thing = make_thing(coop, hours=[(2, 600, 1440), (3, 0, 600)])
    assert booked(thing, start=TOMORROW + 5 * HOUR, hours=18)


def test_a_thing_out_of_order_or_retired_is_not_booked(booked, coop):
    broken, old = make_thing(coop), make_thing(coop, retired_at=NOW)
    make_fault(broken, sentence="The lid leaks.")
    with pytest.raises(NotFit, match=r"is out of order: The lid leaks\."):
        booked(broken)
    with pytest.raises(NotFit, match="no longer lent"):
        booked(old)


def test_what_must_be_seen_to_before_a_handover_may_be_booked(booked, canner):
    make_fault(canner, stops="handover")
    assert booked(canner)


def test_a_household_that_has_left_books_nothing(booked, canner, household):
    household.left_at = NOW
    household.save()
    with pytest.raises(TooLate, match="Castell has left"):
        booked(canner)


@pytest.mark.parametrize(
    ("hours", "expected"),
    [(40, 28), (20, 20)],  # CYCLE_EXPECTED_HOURS; never after the latest end
)
def test_what_ends_by_itself_has_a_likely_end(booked, coop, hours, expected):
    [booking] = booked(make_thing(coop, ThingKind.FREEZE_DRYER), hours=hours)
    assert booking.expected_at == TOMORROW + expected * HOUR


def test_a_likely_end_after_the_latest_is_refused(coop, member):
    dryer = make_thing(coop, ThingKind.FREEZE_DRYER)
    wish = Wish(dryer.pk, TOMORROW, TOMORROW + 20 * HOUR, TOMORROW + 21 * HOUR)
    with pytest.raises(Refused, match="by its latest end"):
        book([wish], household=member.household, by=member)


# ---- several at once ------------------------------------------------------------------------
def test_several_things_are_booked_together(booked, coop, canner):
    bookings = booked(canner, make_thing(coop), make_thing(coop, ThingKind.KITCHEN))
    assert len({each.together for each in bookings}) == 1
    assert bookings[0].together is not None


def test_where_one_of_several_is_taken_none_is_booked(booked, coop, canner, other_household):
    other = make_thing(coop)
    make_booking(other, other_household, start=TOMORROW)
    with pytest.raises(Taken) as refusal:
        booked(canner, other)
    assert refusal.value.thing == other
    assert Booking.objects.count() == 1
    assert not changes_of(coop, canner).exists()


def test_one_thing_twice_in_one_act_is_taken_by_itself(coop, canner, member):
    wishes = [Wish(canner.pk, TOMORROW, TOMORROW + 3 * HOUR)] * 2
    with pytest.raises(Taken):
        book(wishes, household=member.household, by=member)
    assert not Booking.objects.exists()


def test_nothing_chosen_is_refused(member):
    with pytest.raises(Refused, match="Choose what to book"):
        book([], household=member.household, by=member)


# ---- who ------------------------------------------------------------------------------------
def test_only_its_members_stewards_and_coordinators_book_for_a_household(
    coop, canner, household, coordinator, treasurer, other_household_member, outsider
):
    wishes = [Wish(canner.pk, TOMORROW, TOMORROW + HOUR)]
    for by in (treasurer, other_household_member, outsider):
        with pytest.raises(NotAllowed):
            book(wishes, household=household, by=by)
    assert not Booking.objects.exists()
    assert book(wishes, household=household, by=coordinator)


def test_a_household_is_told_what_somebody_else_booked_for_it(
    booked, canner, household, coordinator
):
    booked(canner, by=coordinator)
    [told] = household.told.all()
    assert told.what == "changed"
    assert told.sentence == ("Ruth Adeyemi booked Big Red for you: Wed 12 Aug, 9:00 to 12:00.")


def test_who_books_for_its_own_household_is_told_nothing(booked, canner, household):
    booked(canner)
    assert not household.told.exists()


def test_a_thing_of_another_co_op_is_a_404(booked, canner, other_coop):
    with pytest.raises(Http404):
        booked(canner, make_thing(other_coop))
    assert not Booking.objects.exists()


# ---- what the database decides --------------------------------------------------------------
def test_the_database_refuses_what_nobody_looked_for(booked, canner, other_household, monkeypatch):
    make_booking(canner, other_household, start=TOMORROW)
    monkeypatch.setattr(rules, "require_free", lambda *args, **options: None)
    with pytest.raises(Taken) as refusal:
        booked(canner)
    assert refusal.value.free[0][0] == TOMORROW + 5 * HOUR
    assert Booking.objects.count() == 1


def test_the_database_refuses_a_thing_out_of_order(booked, canner, monkeypatch):
    make_fault(canner)
    monkeypatch.setattr(rules, "require_fit", lambda *args: None)
    with pytest.raises(NotFit):
        booked(canner)


def test_the_database_refuses_an_overlap_written_past_every_act(db, canner):
    first = make_booking(canner, start=TOMORROW)
    with pytest.raises(IntegrityError, match="booking_overlaps"), transaction.atomic():
        make_booking(canner, start=TOMORROW + 4.9 * HOUR)  # within the turnaround
    later = make_booking(canner, start=TOMORROW + 5 * HOUR)
    with pytest.raises(IntegrityError, match="booking_overlaps"), transaction.atomic():
        Booking.objects.filter(pk=later.pk).update(starts_at=first.starts_at)
