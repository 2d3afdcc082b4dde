"""A household does not leave with what is lent to it, booked by it, or lent by it."""

from datetime import timedelta

import pytest

from coop.equipment.leaving import open_things
from coop.people.actions.households import end_household
from coop.people.errors import StillOpen
from tests.web import equipment_factories as make
from tests.web.factories import NOW

HOUR = timedelta(hours=1)


def test_nothing_keeps_who_has_nothing(household):
    assert open_things(household) == []


def test_what_it_has_keeps_it_once(household, coop):
    booking = make.make_booking(make.make_thing(coop, name="Big Red"), household, start=NOW - HOUR)
    make.make_out(booking)
    (reason,) = open_things(household)
    assert "still has Big Red" in reason


@pytest.mark.parametrize("start", (NOW - HOUR, NOW + 24 * HOUR))
def test_what_it_has_booked_keeps_it_also_when_its_time_has_begun(household, coop, start):
    make.make_booking(make.make_thing(coop, name="Big Red"), household, start=start)
    (reason,) = open_things(household)
    assert "has booked Big Red" in reason


def test_a_season_of_bookings_is_one_reason_a_thing(household, coop):
    thing = make.make_thing(coop, name="Grange kitchen")
    for week in range(1, 4):
        make.make_booking(thing, household, start=NOW + week * 168 * HOUR)
    (reason,) = open_things(household)
    assert "has booked Grange kitchen, Tue 18 Aug, 9:00 and 2 more times" in reason


def test_an_offer_and_what_is_over_keep_nobody(household, coop):
    thing = make.make_thing(coop)
    make.make_booking(thing, household, start=NOW - 50 * HOUR)
    place = make.make_standby(thing, household)
    make.make_booking(thing, household, standby=place, held_until=NOW + HOUR)
    assert open_things(household) == []


def test_what_it_lends_keeps_it_until_it_is_off_the_list(household, member, coordinator):
    thing = make.make_thing(owner=household, name="Big Red")
    with pytest.raises(StillOpen, match="lends Big Red"):
        end_household(household.pk, by=member)
    thing.retired_at = NOW
    thing.save(update_fields=["retired_at"])
    assert open_things(household) == []
