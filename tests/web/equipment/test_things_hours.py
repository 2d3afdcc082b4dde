"""Weekly hours of a thing: several spans a day, copied from day to day, or at any time."""

import pytest

from coop.equipment.actions.keeping import set_hours
from coop.equipment.errors import Refused
from coop.people.errors import NotAllowed
from coop.people.models import Change
from tests.web import equipment_factories as rows
from tests.web.reading import main_of, text_of

EIGHT, NOON, TWO, SIX = 480, 720, 840, 1080


@pytest.fixture
def thing(household):
    return rows.make_thing(owner=household)


@pytest.fixture
def address(thing):
    return f"/cottonwood/equipment/things/{thing.pk}/hours/"


def spans_of(thing):
    return [(each.weekday, each.from_minute, each.to_minute) for each in thing.hours.all()]


def errors_of(response):
    return [each.get_text(" ", strip=True) for each in main_of(response).select(".field-error li")]


def shown(response):
    fields = main_of(response).select("input[type=time]")
    return {str(each["name"]): each["value"] for each in fields if each.get("value")}


def test_several_spans_a_day_are_kept(as_member, thing, address):
    typed = {
        "from_0_0": "08:00",
        "to_0_0": "12:00",
        "from_0_1": "14:00",
        "to_0_1": "18:00",
        "from_6_0": "00:00",
        "to_6_0": "00:00",
    }
    assert as_member.post(address, typed).status_code == 302
    # An end at midnight is the midnight that ends the day: 1440.
    assert spans_of(thing) == [(0, EIGHT, NOON), (0, TWO, SIX), (6, 0, 1440)]
    assert shown(as_member.get(address)) == typed
    assert Change.objects.get(about=f"thing:{thing.pk}").sentence == (
        "Hours: Mon 8:00 to 12:00 and 14:00 to 18:00; Sun 0:00 to 24:00."
    )


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("copy", "days"), [("weekdays", range(5)), ("all", range(7)), ("nowhere", range(1))]
)
def test_a_day_is_copied_and_nothing_saved_yet(as_member, thing, address, copy, days):
    typed = {"from_0_0": "08:00", "to_0_0": "12:00", "from_0_1": "14:00", "to_0_1": "18:00"}
    answer = as_member.post(address, typed | {"copy": copy})
    assert answer.status_code == 200
    assert {name for name in shown(answer) if name.startswith("from")} == {
        f"from_{day}_{place}" for day in days for place in (0, 1)
    }
    assert spans_of(thing) == []


@pytest.mark.sqlite  # about the page alone
def test_what_was_copied_is_what_is_then_saved(as_member, thing, address):
    copied = as_member.post(address, {"from_0_0": "08:00", "to_0_0": "12:00", "copy": "all"})
    as_member.post(address, shown(copied))
    assert spans_of(thing) == [(day, EIGHT, NOON) for day in range(7)]


def test_at_any_time_takes_the_hours_away(as_member, thing, address):
    set_hours(thing.pk, [(0, EIGHT, NOON)], by=thing.by)
    assert as_member.post(address, {"any": "1", "from_0_0": "08:00"}).status_code == 302
    assert spans_of(thing) == []
    assert "May be out at any time" in text_of(as_member.get(address.replace("hours/", "")))


def test_spans_that_touch_become_one(thing):
    set_hours(thing.pk, [(2, NOON, SIX), (2, EIGHT, NOON), (2, 600, 800)], by=thing.by)
    assert spans_of(thing) == [(2, EIGHT, SIX)]


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Write the hours of at least one day"),
        ({"from_0_0": "08:00"}, "Write both: from when, and until when."),
        ({"to_0_0": "08:00"}, "Write both: from when, and until when."),
        ({"from_0_0": "20:00", "to_0_0": "06:00"}, "It ends before it begins."),
        ({"from_0_0": "08:00", "to_0_0": "08:00"}, "It ends before it begins."),
        ({"from_0_0": "late", "to_0_0": "08:00"}, "Write a time, like 8:00 or 17:30."),
        ({"from_0_0": "25:00", "to_0_0": "26:00"}, "Write a time, like 8:00 or 17:30."),
    ],
)
def test_wrong_hours_are_told_and_nothing_changes(as_member, thing, address, typed, sentence):
    set_hours(thing.pk, [(3, EIGHT, NOON)], by=thing.by)
    answer = as_member.post(address, typed)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert spans_of(thing) == [(3, EIGHT, NOON)]


@pytest.mark.parametrize("span", [(7, 0, 60), (-1, 0, 60), (0, 60, 60), (0, 60, 0), (0, 0, 1441)])
def test_the_act_refuses_what_does_not_lie_within_a_day(thing, span):
    with pytest.raises(Refused):
        set_hours(thing.pk, [span], by=thing.by)


def test_a_day_has_at_most_what_the_form_can_show(thing):
    spans = [(0, start, start + 30) for start in (0, 60, 120, 180)]
    with pytest.raises(Refused):
        set_hours(thing.pk, spans, by=thing.by)


@pytest.mark.sqlite  # about the page alone
def test_another_household_is_refused_with_a_sentence(
    as_other_household_member, other_household_member, thing, address
):
    assert as_other_household_member.post(address, {"any": "1"}).status_code == 403
    with pytest.raises(NotAllowed):
        set_hours(thing.pk, [], by=other_household_member)


def test_the_same_hours_again_write_nothing(thing):
    for _ in range(2):
        set_hours(thing.pk, [(0, EIGHT, NOON)], by=thing.by)
    assert Change.objects.filter(about=f"thing:{thing.pk}").count() == 1
