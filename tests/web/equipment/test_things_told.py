"""Whoever keeps a thing is told of a gauge test and of care that is due.

Gauge tests and gaskets, 4 to 8 weeks before, and a gauge again after any bump: trade notes,
section 9.
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from coop.equipment.actions.cares import Round, add_care, care_done, drop_care
from coop.equipment.actions.fitness import Report, report_fault
from coop.equipment.actions.gauge_tests import Reading, add_gauge_test, strike_test
from coop.equipment.actions.retiring import bring_back, retire
from coop.equipment.actions.things import ThingTerms, create_thing, edit_thing
from coop.notices.models import Matter, Notice
from coop.people.actions.members import set_roles
from tests.web.equipment_factories import make_thing
from tests.web.factories import make_household, make_member
from tests.web.notices.postman import post

#: A test of Sunday 28 September 2025 holds for a year: the next is due on Monday 28 September
#: 2026 at 9:00 in Denver, and is asked for on 3 August (which has passed) and on 31 August.
TESTED = date(2025, 9, 28)
FOUR_WEEKS_BEFORE = datetime(2026, 8, 31, 15, 0, tzinfo=UTC)
YEAR = timedelta(days=365)


@pytest.fixture
def steward(coop):
    return make_member(make_household(coop), "Hattie", roles=["steward"])


@pytest.fixture
def canner(coop, steward):
    return make_thing(coop, name="Old Faithful", gauge="dial")


def write_test(thing, by, *, on=TESTED, **fields):
    reading = Reading(on, "county office", 110, 110, **fields)
    return add_gauge_test(thing.pk, reading, by=by)


def due(member, kind):
    rows = Notice.objects.filter(member=member, matter__kind=kind, matter__dropped_at=None)
    return list(rows.order_by("due_at").values_list("due_at", flat=True))


def sent_to(member):
    return [letter for letter in post() if letter.to == [member.user.email]]


# ---- gauge tests ----------------------------------------------------------------------------
def test_a_steward_is_asked_for_a_gauge_test_weeks_before_it_is_due(canner, steward, member, clock):
    write_test(canner, steward)
    clock.move_to(FOUR_WEEKS_BEFORE)
    [letter] = sent_to(steward)
    assert letter.subject == "Old Faithful: gauge test due Mon 28 Sep 2026"
    first = letter.body.splitlines()[0]
    assert first.startswith("Have the dial gauge of Old Faithful tested by Mon 28 Sep 2026")
    assert "Last tested: Sun 28 Sep 2025, by county office." in letter.body
    assert due(member, "gauge_due") == []


def test_tested_anew_it_is_asked_for_a_year_later(canner, steward, clock):
    write_test(canner, steward)
    clock.move_to(FOUR_WEEKS_BEFORE)
    write_test(canner, steward, on=date(2026, 8, 30))
    assert due(steward, "gauge_due") == [
        datetime(2027, 7, 5, 15, 0, tzinfo=UTC),  # Monday, 8 weeks before Monday 30 August 2027
        datetime(2027, 8, 2, 15, 0, tzinfo=UTC),
    ]
    assert sent_to(steward) == []


def test_a_test_that_is_struck_out_is_asked_for_no_more(canner, steward):
    test = write_test(canner, steward)
    strike_test(test.pk, by=steward)
    assert due(steward, "gauge_due") == []


def test_the_owner_is_asked_and_the_steward_is_not(
    coop, steward, other_household, other_household_member
):
    thing = make_thing(owner=other_household, gauge="dial")
    write_test(thing, other_household_member)
    assert due(other_household_member, "gauge_due") == [FOUR_WEEKS_BEFORE]
    assert due(steward, "gauge_due") == []


def test_with_another_owner_it_is_asked_of_them(canner, steward, household, member):
    write_test(canner, steward)
    terms = ThingTerms(name=canner.name, gauge="dial")
    edit_thing(canner.pk, terms, by=steward, owner=household)
    assert (due(steward, "gauge_due"), due(member, "gauge_due")) == ([], [FOUR_WEEKS_BEFORE])


def test_without_a_steward_the_coordinators_are_asked(canner, steward, coordinator):
    write_test(canner, steward)
    set_roles(steward.pk, [], by=coordinator)
    assert due(coordinator, "gauge_due") == [FOUR_WEEKS_BEFORE]
    set_roles(steward.pk, ["steward"], by=coordinator)
    assert due(coordinator, "gauge_due") == []
    assert due(steward, "gauge_due") == [FOUR_WEEKS_BEFORE]


def test_retired_it_is_asked_no_more_and_brought_back_it_is(canner, steward):
    write_test(canner, steward)
    retire(canner.pk, by=steward)
    assert due(steward, "gauge_due") == []
    bring_back(canner.pk, by=steward)
    assert due(steward, "gauge_due") == [FOUR_WEEKS_BEFORE]


def test_after_a_bump_a_test_is_asked_for_at_once_until_it_is_done(canner, steward, member):
    write_test(canner, steward)
    report_fault(canner.pk, Report("bumped", "It fell off the shelf."), by=member)
    [letter] = sent_to(steward)
    assert letter.subject == "Old Faithful: the gauge must be tested before use"
    assert "It fell off the shelf." in letter.body
    write_test(canner, steward, on=date(2026, 8, 11), since_then=True)
    assert due(steward, "gauge_now") == []


def test_a_weighted_gauge_is_not_tested(coop, steward, member):
    thing = make_thing(coop, gauge="weighted")
    report_fault(thing.pk, Report("bumped", "It fell off the shelf."), by=member)
    assert not Matter.objects.filter(kind__startswith="gauge").exists()


# ---- care -----------------------------------------------------------------------------------
def test_care_is_asked_for_four_weeks_before_and_on_its_day(canner, steward, clock):
    add_care(canner.pk, Round("gasket", every_months=12, last_on=date(2025, 10, 1)), by=steward)
    on_the_day = datetime(2026, 10, 1, 15, 0, tzinfo=UTC)
    assert due(steward, "care_due") == [on_the_day - timedelta(weeks=4), on_the_day]
    clock.move_to(on_the_day - timedelta(weeks=4))
    [letter] = sent_to(steward)
    assert letter.subject == "Old Faithful: gasket due Thu 1 Oct 2026"
    assert "Due every 12 months. Last done: Wed 1 Oct 2025." in letter.body


def test_done_it_is_asked_for_a_round_later(canner, steward):
    care = add_care(canner.pk, Round("gasket", every_months=2), by=steward)
    care_done(care.pk, by=steward)
    matter = Matter.objects.get(kind="care_due", dropped_at=None)
    assert matter.at == datetime(2026, 10, 11, 15, 0, tzinfo=UTC)


def test_off_the_list_it_is_asked_for_no_more(canner, steward):
    care = add_care(canner.pk, Round("gasket", every_months=12), by=steward)
    drop_care(care.pk, by=steward)
    assert due(steward, "care_due") == []


def test_care_that_only_uses_bring_round_has_no_day(canner, steward):
    add_care(canner.pk, Round("pump oil", every_uses=3), by=steward)
    assert not Matter.objects.filter(kind="care_due").exists()


def test_what_is_put_on_the_list_brings_its_cares_along(coop, steward):
    create_thing("pressure_canner", ThingTerms("New", gauge="dial"), by=steward, owner=None)
    assert Matter.objects.get(kind="care_due").title == "New: gasket due Wed 11 Aug 2027"
