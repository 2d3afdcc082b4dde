"""What is late is told to who has it next, once."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coop.equipment.actions.lateness import tell_late
from coop.equipment.models import Told
from coop.equipment.queries.handovers import came_late, late_now, next_for_it, who_has
from coop.equipment.tasks import tell_who_waits_for_late_things
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_coop, make_household
from tests.web.reading import text_of


@pytest.fixture
def late(coop, household):
    """It should be back since an hour ago."""
    household.phone = "555-0117"
    household.save()
    booking = rows.make_booking(
        rows.make_thing(coop, name="Dryer"), household, start=NOW - 4 * HOUR
    )
    rows.make_out(booking)
    return booking


def told():
    return Told.objects.filter(what=Told.What.LATE)


def test_the_next_household_is_told_whom_to_ask(late, coop, other_household):
    theirs = rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    assert tell_late(coop, NOW) == 1
    [one] = told()
    assert (one.household, one.booking) == (other_household, theirs)
    assert "Dryer is not back yet: Castell was to bring it back Tue 11 Aug, 8:00" in one.sentence
    assert "You have it from Tue 11 Aug, 10:00. Ask them, 555-0117" in one.sentence


def test_twice_tells_once(late, coop, other_household):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    assert [tell_late(coop, NOW), tell_late(coop, NOW + HOUR)] == [1, 0]
    assert told().count() == 1


@pytest.mark.parametrize("minutes", [-1, 14])
def test_a_few_minutes_are_not_told(late, coop, other_household, minutes):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    assert tell_late(coop, late.ends_at + minutes * HOUR / 60) == 0


def test_who_has_it_days_later_is_not_told_yet(late, coop, other_household):
    rows.make_booking(late.thing, other_household, start=NOW + 48 * HOUR)
    assert tell_late(coop, NOW) == 0
    assert tell_late(coop, NOW + 30 * HOUR) == 1


def test_what_is_back_is_not_late(late, coop, other_household):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    rows.make_back(late)
    assert tell_late(coop, NOW) == 0
    assert not late_now(coop, NOW).exists()


def test_an_offer_is_not_yet_next(late, coop, other_household):
    standby = rows.make_standby(late.thing, other_household)
    rows.make_booking(
        late.thing, other_household, start=NOW + HOUR, held_until=NOW + HOUR, standby=standby
    )
    assert next_for_it(late.thing, NOW) is None
    assert tell_late(coop, NOW) == 0


def test_nobody_is_told_of_itself(late, coop, household):
    rows.make_booking(late.thing, household, start=NOW + HOUR)
    assert tell_late(coop, NOW) == 0


def test_another_co_ops_things_are_not_looked_at(late, other_household):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    assert tell_late(make_coop(), NOW) == 0


@pytest.mark.sqlite  # about the page alone
def test_who_has_things_is_one_query(coop, django_assert_num_queries):
    things = [rows.make_thing(coop) for _ in range(12)]
    outs = [rows.make_booking(thing, make_household(coop), start=NOW) for thing in things[:8]]
    for booking in outs:
        rows.make_out(booking)
    rows.make_back(outs[0])
    with django_assert_num_queries(1):
        found = who_has(things)
        assert {str(each.household) for each in found.values()} == {
            str(each.household) for each in outs[1:]
        }
    assert set(found) == {each.thing_id for each in outs[1:]}


def test_the_clock_looks_at_every_co_op(late, other_household):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    assert [tell_who_waits_for_late_things() for _ in range(2)] == [1, 0]


def test_the_booking_that_waits_for_it_says_so(late, other_household, as_other_household_member):
    theirs = rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    page = reverse("equipment:booking", args=[theirs.coop.slug, theirs.pk])
    words = text_of(as_other_household_member.get(page))
    assert "It is not back yet. Castell was to bring it back today at 8:00" in words


@pytest.mark.sqlite  # about the page alone
def test_the_page_of_the_thing_says_so(late, other_household, as_other_household_member):
    rows.make_booking(late.thing, other_household, start=NOW + HOUR)
    page = reverse("equipment:thing", args=[late.coop.slug, late.thing_id])
    words = text_of(as_other_household_member.get(page))
    assert "Castell has it, due back today at 8:00" in words
    assert "Next: Dufresne, from today at 10:00, and it is not back yet" in words


@pytest.mark.parametrize(("seconds", "said"), [(0, False), (59, False), (60, True)])
def test_a_return_is_late_from_the_first_whole_minute(late, seconds, said):
    back = rows.make_back(late, at=late.ends_at + timedelta(seconds=seconds))
    assert came_late(back, late) == said
