"""What was really put up of a use."""

from datetime import date, timedelta

import pytest

from coop.kitchen.models import Outcome
from coop.people.models import Change
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_lot, make_outcome, make_plan, make_use
from tests.web.reading import main_of, text_of

TODAY = NOW.date().isoformat()


@pytest.fixture
def use(household):
    """A bushel of corn in quarts."""
    return make_use(make_plan(household))


def address(use):
    return f"/cottonwood/uses/{use.pk}/outcome/"


def typed(**fields):
    return {"pounds": "35", "jars": "8", "on": TODAY, "note": ""} | fields


def test_pounds_and_jars_are_written_down_with_who_and_when(as_member, member, use):
    answer = as_member.post(address(use), typed(note="Small ears"))
    outcome = Outcome.objects.get()
    assert answer.url == f"/cottonwood/plans/{use.plan_id}/"
    assert (outcome.tenths, outcome.jars, outcome.on) == (350, 8, NOW.date())
    assert (outcome.by, outcome.note, outcome.at) == (member, "Small ears", NOW)
    change = Change.objects.get(about=f"plan:{use.plan_id}")
    assert (change.sentence, change.member) == ("Put up: 8 quarts of 35 lb", member)


def test_a_second_time_corrects_it_and_keeps_what_it_was(as_member, use):
    as_member.post(address(use), typed())
    assert main_of(as_member.get(address(use))).select_one("#id_jars")["value"] == "8"
    as_member.post(address(use), typed(jars="7"))
    assert Outcome.objects.get().jars == 7
    change = Change.objects.filter(about=f"plan:{use.plan_id}").latest("pk")
    assert change.sentence == "Corrected: 7 quarts of 35 lb"
    assert (change.before["jars"], change.after["jars"]) == (8, 7)


def test_the_same_again_leaves_no_second_line(as_member, use):
    for _ in range(2):
        as_member.post(address(use), typed())
    assert Change.objects.filter(about=f"plan:{use.plan_id}").count() == 1


def test_the_jars_counted_out_of_its_lots_come_as_a_start(as_member, household, use):
    make_lot(household, 7, counted_out=7, use=use)
    make_lot(household, 3, counted_out=2, use=use)
    page = as_member.get(address(use))
    assert main_of(page).select_one("#id_jars")["value"] == "9"
    assert "9 jars were counted out of its lots" in text_of(page)


def test_what_is_dried_is_weighed_again(as_member, household):
    use = make_use(make_plan(household, "apricots"), way="dry", product="halves")
    page = main_of(as_member.get(address(use)))
    assert page.select_one("#id_dried")
    assert not page.select_one("#id_jars")
    as_member.post(address(use), {"pounds": "35", "dried": "5.5", "on": TODAY})
    outcome = Outcome.objects.get()
    assert (outcome.jars, outcome.dried_tenths) == (0, 55)
    assert "5.5 lb dried" in text_of(as_member.get(f"/cottonwood/plans/{use.plan_id}/"))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"pounds": ""}, "This field is required"),
        ({"pounds": "0"}, "cannot be less than"),
        ({"jars": "-1"}, "greater than or equal to 0"),
        ({"jars": "2001"}, "less than or equal to 2000"),
        ({"jars": "some"}, "Enter a whole number"),
        ({"on": "tomorrow"}, "Enter a valid date"),
        ({"on": (NOW.date() + timedelta(days=1)).isoformat()}, "still to come"),
    ],
)
def test_what_is_typed_wrongly_says_why_and_stays(as_member, use, fields, said):
    answer = as_member.post(address(use), typed(**{"note": "kept"} | fields))
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert "kept" in main_of(answer).select_one("#id_note").text
    assert not Outcome.objects.exists()


def test_others_cannot_write_it_and_a_coordinator_can(
    as_other_household_member, as_coordinator, use
):
    assert as_other_household_member.get(address(use)).status_code == 403
    assert as_other_household_member.post(address(use), typed()).status_code == 403
    assert not Outcome.objects.exists()
    as_coordinator.post(address(use), typed())
    assert Outcome.objects.get().jars == 8


def test_a_dropped_plan_takes_no_outcome(as_member, use):
    use.plan.dropped_at = NOW
    use.plan.save()
    assert as_member.post(address(use), typed()).status_code == 409
    assert not Outcome.objects.exists()


def test_what_was_put_up_marks_the_plan(as_member, use):
    make_outcome(use, 350, 8, on=date(2026, 8, 10))
    said = text_of(as_member.get(f"/cottonwood/plans/{use.plan_id}/"))
    assert "8 quarts of 35 lb, Mon 10 Aug" in said
    assert "put up" in text_of(as_member.get("/cottonwood/plans/"))
