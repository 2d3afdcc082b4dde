"""Bookings over the two nights on which clocks change, in Denver.

Source: 15 U.S.C. 260a: clocks go forward at 2:00 on the second Sunday in March, back at 2:00 on the
first Sunday in November; in 2026 that is 8 March and 1 November. Mountain time is UTC-7, in summer
UTC-6 (15 U.S.C. 261, 263).
"""

from datetime import UTC, datetime, timedelta

import pytest

from coop.equipment.actions.booking import Wish, book, book_weekly
from coop.equipment.actions.changing import move
from coop.equipment.errors import OutsideHours, TooLong
from coop.equipment.models import Booking
from coop.equipment.words import booked_said
from tests.web.equipment_factories import HOUR, make_booking, make_thing
from tests.web.reading import main_of, text_of


def utc(*moment):
    return datetime(*moment, tzinfo=UTC)


#: From Saturday 22:00 until Sunday 6:00 on the clocks: as typed, in UTC, and real hours.
NIGHTS = {
    "spring": ("2026-03-07T22:00", "2026-03-08T06:00", utc(2026, 3, 8, 5), utc(2026, 3, 8, 12), 7),
    "autumn": (
        "2026-10-31T22:00",
        "2026-11-01T06:00",
        utc(2026, 11, 1, 4),
        utc(2026, 11, 1, 13),
        9,
    ),
}
nights = pytest.mark.parametrize("night", NIGHTS.values(), ids=NIGHTS)


@pytest.fixture
def book_at(coop, member, sign_in, clock):
    """Type a booking into the form, a week before it starts."""

    def typed(thing, start, end, *, before, **others):
        clock.move_to(before - timedelta(days=7))
        sent = {"thing": thing.pk, "starts_at": start, "ends_at": end} | others
        return sign_in(member).post(f"/{coop.slug}/equipment/book/", sent, follow=True)

    return typed


@nights
def test_a_night_on_which_clocks_change_has_its_real_length_and_its_times_as_typed(
    coop, book_at, night
):
    start, end, starts_at, ends_at, hours = night
    thing = make_thing(coop, turnaround_minutes=60)
    page = book_at(thing, start, end, before=starts_at)
    booking = Booking.objects.get()
    assert (booking.starts_at, booking.ends_at) == (starts_at, ends_at)
    assert booking.ends_at - booking.starts_at == hours * HOUR
    assert booking.free_at == ends_at + HOUR
    assert f"22:00 to {booked_said(booking, coop).split(' to ')[1]} ({hours} h)" in text_of(page)
    assert booked_said(booking, coop).endswith("6:00")


@nights
def test_the_form_to_move_shows_the_times_as_they_were_typed(coop, as_member, household, night):
    start, end, starts_at, _, hours = night
    booking = make_booking(make_thing(coop), household, start=starts_at, hours=hours)
    form = main_of(as_member.get(f"/{coop.slug}/equipment/bookings/{booking.pk}/move/"))
    assert form.select_one("#id_starts_at")["value"] == start
    assert form.select_one("#id_ends_at")["value"] == end


@nights
def test_the_longest_loan_counts_real_hours(coop, member, clock, night):
    _, _, starts_at, ends_at, hours = night
    clock.move_to(starts_at - timedelta(days=1))
    whose = {"household": member.household, "by": member}
    short = make_thing(coop, longest_minutes=hours * 60 - 1)
    with pytest.raises(TooLong):
        book([Wish(short.pk, starts_at, ends_at)], **whose)
    enough = make_thing(coop, longest_minutes=hours * 60)
    assert book([Wish(enough.pk, starts_at, ends_at)], **whose)


@nights
def test_a_thing_that_may_be_out_all_day_may_be_out_over_the_change(coop, member, clock, night):
    _, _, starts_at, ends_at, _ = night
    clock.move_to(starts_at - timedelta(days=1))
    thing = make_thing(coop, hours=[(day, 0, 1440) for day in range(7)])
    assert book([Wish(thing.pk, starts_at, ends_at)], household=member.household, by=member)


def test_hours_of_a_thing_are_those_on_the_clocks_after_the_change(coop, member, clock):
    clock.move_to(utc(2026, 3, 7, 12))
    thing = make_thing(coop, hours=[(6, 480, 720)])  # Sundays, 8:00 to 12:00
    whose = {"household": member.household, "by": member}
    # On 8 March 8:00 in Denver is 14:00 UTC already; the day before it was 15:00.
    with pytest.raises(OutsideHours):
        book([Wish(thing.pk, utc(2026, 3, 8, 13), utc(2026, 3, 8, 15))], **whose)
    assert book([Wish(thing.pk, utc(2026, 3, 8, 14), utc(2026, 3, 8, 18))], **whose)


@pytest.mark.parametrize(
    ("first", "starts_utc"),
    [
        # Sundays at 10:00 in Denver: 17:00 UTC in winter, 16:00 UTC in summer.
        (utc(2026, 2, 22, 17), [(2, 22, 17), (3, 1, 17), (3, 8, 16), (3, 15, 16)]),
        (utc(2026, 10, 18, 16), [(10, 18, 16), (10, 25, 16), (11, 1, 17), (11, 8, 17)]),
    ],
)
def test_a_season_keeps_its_time_on_the_clocks_and_its_length(
    coop, member, clock, first, starts_utc
):
    clock.move_to(first - timedelta(days=1))
    wish = Wish(make_thing(coop).pk, first, first + 3 * HOUR)
    came = book_weekly([wish], 4, household=member.household, by=member)
    assert [each.starts_at for each in came.booked] == [utc(2026, *each) for each in starts_utc]
    assert {each.ends_at - each.starts_at for each in came.booked} == {3 * HOUR}
    assert all("10:00 to 13:00" in booked_said(each, coop) for each in came.booked)


def test_a_season_typed_into_the_form_has_a_booking_on_its_last_day(coop, book_at):
    page = book_at(
        make_thing(coop),
        "2026-10-18T10:00",
        "2026-10-18T13:00",
        before=utc(2026, 10, 18, 16),
        last_on="2026-11-08",
    )
    assert page.status_code == 200
    assert Booking.objects.count() == 4
    assert Booking.objects.latest("starts_at").starts_at == utc(2026, 11, 8, 17)


def test_a_time_that_the_clocks_skip_is_said_to_be_none(coop, book_at):
    page = book_at(
        make_thing(coop), "2026-03-08T02:30", "2026-03-08T06:00", before=utc(2026, 3, 8, 9)
    )
    assert page.status_code == 422
    assert "skip this time" in text_of(page)


def test_the_hour_that_comes_twice_is_as_long_as_it_is(coop, household, member, clock):
    clock.move_to(utc(2026, 10, 31, 12))
    mine = make_booking(make_thing(coop), household, start=utc(2026, 11, 1, 6), hours=1)
    # 0:00 to 1:00 in the first hour; moved to end at 2:00 on the clocks it lasts three hours.
    moved = move(mine.pk, mine.starts_at, utc(2026, 11, 1, 9), by=member)
    assert moved.ends_at - moved.starts_at == 3 * HOUR
    assert booked_said(moved, coop) == "Sun 1 Nov, 0:00 to 2:00"
