"""Booking the same thing week by week for a season; what fails is named."""

from datetime import timedelta

import pytest

from coop.equipment.actions.booking import Wish, book_weekly
from coop.equipment.errors import OutsideHours, Refused, Taken
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking
from tests.web.equipment_factories import HOUR, make_booking, make_thing
from tests.web.factories import NOW, make_household, make_member

DAY, WEEK = timedelta(days=1), timedelta(days=7)
TOMORROW = NOW + DAY


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Red", turnaround_minutes=120)


@pytest.fixture
def weekly(member):
    def make(*things, weeks, start=TOMORROW, **options):
        wishes = [Wish(each.pk, start, start + 3 * HOUR) for each in things]
        return book_weekly(
            wishes, weeks, **({"household": member.household, "by": member} | options)
        )

    return make


def test_a_season_is_booked_week_by_week(weekly, canner):
    came = weekly(canner, weeks=10)
    assert [each.starts_at for each in came.booked] == [TOMORROW + n * WEEK for n in range(10)]
    assert came.failed == []
    assert len({each.together for each in came.booked}) == 1


def test_weeks_that_fail_are_named_with_why_and_the_others_are_booked(
    weekly, canner, other_household
):
    make_booking(canner, other_household, start=TOMORROW + WEEK + HOUR)
    came = weekly(canner, weeks=3)
    assert [each.starts_at for each in came.booked] == [TOMORROW, TOMORROW + 2 * WEEK]
    [missed] = came.failed
    assert missed.starts_at == TOMORROW + WEEK
    assert "Big Red is taken: Dufresne has it Wed 19 Aug, 10:00 to 13:00" in missed.why


def test_each_week_is_all_or_none_of_its_things(weekly, coop, canner, other_household):
    burner = make_thing(coop, ThingKind.BURNER)
    make_booking(burner, other_household, start=TOMORROW + WEEK)
    came = weekly(canner, burner, weeks=2)
    assert len(came.booked) == 2
    assert Booking.objects.filter(thing=canner).count() == 1


def test_where_no_week_can_be_had_the_first_refusal_is_said(weekly, canner, other_household):
    for week in range(2):
        make_booking(canner, other_household, start=TOMORROW + week * WEEK)
    with pytest.raises(Taken) as refusal:
        weekly(canner, weeks=2)
    assert refusal.value.free


def test_the_same_season_again_books_nothing_new(weekly, canner):
    first, again = (weekly(canner, weeks=3) for _ in range(2))
    assert first.booked == again.booked
    assert again.failed == []
    assert Booking.objects.count() == 3


@pytest.mark.parametrize("weeks", [-1, 0, 1, 54])
def test_a_season_has_two_to_fifty_three_weeks(weekly, canner, weeks):
    with pytest.raises(Refused, match="2 to 53 weeks"):
        weekly(canner, weeks=weeks)


def test_a_start_at_the_end_of_time_is_refused_like_any_other(weekly, canner):
    start = NOW.replace(year=9999, month=12, day=30)
    with pytest.raises(Refused, match="over a year away"):
        weekly(canner, weeks=53, start=start)


def test_a_household_is_told_of_a_season_in_one_sentence(weekly, canner, household, coop):
    steward = make_member(make_household(coop), "Hattie Fenn", roles=["steward"])
    weekly(canner, weeks=4, by=steward)
    [told] = household.told.all()
    assert told.sentence == (
        "Hattie Fenn booked Big Red for you: 4 bookings, the first Wed 12 Aug, 9:00 to 12:00."
    )


def test_weeks_outside_the_hours_of_a_thing_are_named(weekly, coop):
    thing = make_thing(coop, hours=[(day, 480, 720) for day in range(7)])
    with pytest.raises(OutsideHours):
        weekly(thing, weeks=2, start=TOMORROW + HOUR)
