"""A load that names a shared canner is linked to it, and knows when its gauge was tested."""

from datetime import timedelta

import pytest

from coop.core.preserving.as_run import Filled
from coop.kitchen.actions.loads import AsRun, edit_load, write_load
from coop.kitchen.actions.lots import JarsIn
from coop.kitchen.queries.canners import canners_in, shared_canner
from coop.people.days import today_in
from tests.web import equipment_factories as things
from tests.web.factories import NOW
from tests.web.kitchen.loading import MINUTES, PSI


@pytest.fixture
def big_red(coop):
    return things.make_dial_canner(coop, name="Big Red")


def run(member, **fields):
    usual = {"method": "dial_gauge", "minutes": MINUTES, "psi": PSI, "vent_minutes": 10}
    return AsRun(**usual | {"ended_at": NOW, "watcher": member} | fields)


def written(member, **fields):
    corn = Filled("sweet_corn", "whole_kernel", "hot", "quart", 1)
    jars = JarsIn(household=member.household, filled=corn, mouth="regular", count=7)
    return write_load(run(member, **fields), [jars], by=member, ran_so=True)


def test_a_load_in_a_shared_canner_is_linked_to_it_whatever_the_case(member, big_red):
    assert written(member, canner="big red ").thing == big_red


def test_it_takes_over_the_day_of_the_gauge_test(member, big_red):
    test = things.make_gauge_test(big_red)
    assert written(member, canner="Big Red").gauge_tested_on == test.tested_on


def test_a_test_after_the_load_is_not_taken_over(member, big_red):
    things.make_gauge_test(big_red, tested_on=NOW.date() + timedelta(days=1))
    assert written(member, canner="Big Red").gauge_tested_on is None


def test_what_was_written_down_stands(member, big_red):
    things.make_gauge_test(big_red)
    day = NOW.date() - timedelta(days=90)
    assert written(member, canner="Big Red", gauge_tested_on=day).gauge_tested_on == day


def test_a_test_that_found_it_unfit_is_none(member, big_red):
    things.make_gauge_test(big_red, tested_on=NOW.date() - timedelta(days=9))
    things.make_gauge_test(big_red, read_tenths=140)
    assert written(member, canner="Big Red").gauge_tested_on is None


def test_a_canner_with_another_name_since_keeps_its_loads_and_its_warning(coop, member, big_red):
    load = written(member, canner="Big Red")
    big_red.name = "Old Faithful"
    big_red.save(update_fields=["name"])
    (canner,) = canners_in(coop, today_in(coop, NOW))
    assert (canner.name, canner.thing) == ("Old Faithful", big_red)
    mended = edit_load(
        load.pk, run(member, canner="Big Red", note="At last"), by=member, ran_so=True
    )
    assert mended.thing == big_red


def test_the_pages_say_that_it_is_out_of_order(as_member, member, big_red):
    load = written(member, canner="Big Red")
    things.make_fault(big_red, sentence="It was dropped.")
    for path in (f"/cottonwood/loads/{load.pk}/", "/cottonwood/loads/new/"):
        page = as_member.get(path).content.decode()
        assert "ut of order" in page, path
        assert "It was dropped." in page, path


def test_another_kind_of_canner_of_that_name_is_not_it(member, big_red):
    load = written(member, canner="Big Red", method="boiling_water", psi=None)
    assert load.thing is None


def test_another_coops_canner_of_that_name_is_not_it(member, other_coop):
    things.make_dial_canner(other_coop, name="Big Red")
    assert written(member, canner="Big Red").thing is None


def test_a_mended_name_changes_the_canner(member, big_red):
    load = written(member, canner="Old Grey")
    assert load.thing is None
    assert (
        edit_load(load.pk, run(member, canner="Big Red"), by=member, ran_so=True).thing == big_red
    )


def test_shared_canners_are_offered_before_any_load_ran_in_them(coop, big_red):
    things.make_thing(coop, "dehydrator", name="Trays")
    (canner,) = canners_in(coop, today_in(coop, NOW))
    assert (canner.name, canner.method, canner.thing) == ("Big Red", "dial_gauge", big_red)


def test_a_retired_canner_is_no_choice(coop, big_red):
    big_red.retired_at = NOW
    big_red.save(update_fields=["retired_at"])
    assert shared_canner(coop, "Big Red", "dial_gauge") is None
    assert canners_in(coop, today_in(coop, NOW)) == []


@pytest.mark.sqlite  # as many queries on any database
def test_the_number_of_queries_does_not_grow(coop, member, big_red, django_assert_max_num_queries):
    for number in range(12):
        things.make_dial_canner(coop, name=f"Canner {number}")
    written(member, canner="Big Red")
    with django_assert_max_num_queries(5):
        assert len(canners_in(coop, today_in(coop, NOW))) == 13


def test_a_load_says_once_that_the_gauge_was_not_tested(as_member, member, big_red):
    load = written(member, canner="Big Red")
    path = f"/cottonwood/loads/{load.pk}/"
    text = as_member.get(path).content.decode()
    assert "Nobody wrote down when the dial gauge was last tested." in text
    assert "data-gauge-warning" not in text
    tested = run(member, canner="Big Red", gauge_tested_on=NOW.date())
    edit_load(load.pk, tested, by=member, ran_so=True)
    text = as_member.get(path).content.decode()
    assert "Nobody wrote down" not in text
    assert "data-gauge-warning" in text


@pytest.mark.sqlite  # about the page alone
def test_the_form_says_what_is_wrong_with_the_canner_that_was_chosen(as_member, big_red):
    things.make_fault(big_red, sentence="The lid warps.")
    path = "/cottonwood/loads/new/?method=dial_gauge&kitchen=&canner="
    text = as_member.get(f"{path}Big+Red").content.decode()
    assert "The lid warps." in text
    assert "data-gauge-warning" in text
    assert "data-gauge-warning" not in as_member.get(f"{path}Mine").content.decode()


def test_the_pages_warn_of_a_gauge_that_nobody_tested(as_member, member, big_red):
    load = written(member, canner="Big Red")
    for path in (f"/cottonwood/loads/{load.pk}/", "/cottonwood/loads/new/"):
        assert "Complete Guide to Home Canning" in as_member.get(path).content.decode(), path
