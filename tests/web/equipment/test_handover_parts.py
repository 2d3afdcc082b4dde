"""How a thing is and whether its parts are there: asked on the pages, never proposed."""

import pytest
from django.urls import reverse

from coop.equipment.models import CountedPart
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import text_of

OUT = {"condition": "good", "part-0": "1", "part-1": "1"}


def at(name, of):
    return reverse(f"equipment:{name}", args=[of.coop.slug, of.pk])


@pytest.fixture
def booking(coop, household):
    """The member's household has a mill with two parts from now, for three hours."""
    thing = rows.make_thing(coop, "mill", parts={"screen": 1, "rack": 1})
    return rows.make_booking(thing, household, start=NOW)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["hand_out", "take_now"])
def test_nothing_is_said_of_a_thing_before_somebody_looked(as_member, booking, name):
    of = booking if name == "hand_out" else booking.thing
    form = as_member.get(at(name, of)).context["form"]
    assert [form[field].value() for field in ("condition", "part-0", "part-1")] == [None] * 3
    errors = as_member.post(at(name, of), {}).context["form"].errors
    assert {"condition", "part-0", "part-1"} <= set(errors)


def test_all_parts_are_counted_with_one_tick(as_member, booking):
    as_member.post(at("hand_out", booking), {"condition": "good", "all_there": "on"})
    assert list(CountedPart.objects.values_list("counted", "expected")) == [(1, 1), (1, 1)]


@pytest.mark.sqlite  # about the page alone
def test_a_tick_for_all_does_not_hide_a_part_that_is_not_there(as_member, booking):
    answer = as_member.post(at("hand_out", booking), OUT | {"all_there": "on", "part-1": "0"})
    assert answer.status_code == 422
    assert answer.context["form"].errors["part-1"]


def test_what_goes_out_with_a_part_missing_says_so(as_member, booking):
    answer = as_member.post(at("hand_out", booking), OUT | {"part-1": "0"}, follow=True)
    assert "It went out with parts missing: rack (0 of 1)." in text_of(answer)
    assert booking.thing.faults.get().what == "part_missing"
