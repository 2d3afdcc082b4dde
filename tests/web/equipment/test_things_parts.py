"""The list of parts that go out with a thing."""

import pytest

from coop.equipment.actions.keeping import set_parts
from coop.equipment.errors import Refused
from coop.people.errors import NotAllowed
from coop.people.models import Change
from tests.web import equipment_factories as rows
from tests.web.reading import main_of, text_of


@pytest.fixture
def thing(household):
    return rows.make_thing(owner=household, parts={"gasket": 1, "weight": 3})


@pytest.fixture
def address(thing):
    return f"/cottonwood/equipment/things/{thing.pk}/parts/"


def parts_of(thing):
    return {part.name: part.count for part in thing.parts.all()}


def typed_in(client, address):
    fields = main_of(client.get(address)).select("form[method=post] input[name]")
    return {str(each["name"]): str(each.get("value", "")) for each in fields}


def test_parts_are_changed_dropped_and_added(as_member, thing, address):
    typed = typed_in(as_member, address)
    assert (typed["name_0"], typed["count_0"], typed["name_1"]) == ("gasket", "1", "weight")
    changed = {"name_0": "", "count_1": "2", "name_2": "jar lifter", "count_2": "1"}
    assert as_member.post(address, typed | changed).status_code == 302
    assert parts_of(thing) == {"weight": 2, "jar lifter": 1}
    change = Change.objects.get(about=f"thing:{thing.pk}")
    assert change.before == {"parts": {"gasket": 1, "weight": 3}}
    assert change.after == {"parts": {"weight": 2, "jar lifter": 1}}


def test_saving_the_same_list_writes_nothing(as_member, thing, address):
    assert as_member.post(address, typed_in(as_member, address)).status_code == 302
    assert not Change.objects.filter(about=f"thing:{thing.pk}").exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name_2": "GASKET"}, "It stands on the list twice."),
        ({"count_0": ""}, "Write how many there are."),
        ({"count_0": "0"}, "It cannot be less than 1 piece"),
        ({"count_0": "501"}, "It cannot be more than 500 pieces"),
        ({"count_0": "two"}, "Write it in figures"),
        ({"name_0": "x" * 41}, "at most 40 characters"),
    ],
)
def test_a_wrong_list_is_told_and_nothing_changes(as_member, thing, address, typed, sentence):
    answer = as_member.post(address, typed_in(as_member, address) | typed)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert parts_of(thing) == {"gasket": 1, "weight": 3}


def test_the_act_refuses_what_cannot_be_counted(thing):
    for parts in ({"a": 0}, {"a": 501}, {"A": 1, "a": 1}, {f"part {n}": 1 for n in range(41)}):
        with pytest.raises(Refused):
            set_parts(thing.pk, parts, by=thing.by)


@pytest.mark.sqlite  # about the page alone
def test_another_household_changes_no_parts(
    as_other_household_member, other_household_member, thing, address
):
    assert as_other_household_member.post(address, {}).status_code == 403
    with pytest.raises(NotAllowed):
        set_parts(thing.pk, {}, by=other_household_member)
