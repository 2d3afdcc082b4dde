"""Two people write on the fitness of one thing at one moment, each over their own connection."""

import pytest

from coop.equipment.actions.cares import Round, add_care
from coop.equipment.actions.fitness import Report, mend, report_fault
from coop.equipment.actions.gauge_tests import Reading, add_gauge_test
from coop.equipment.models import Care, Fault, GaugeTest, Told
from tests.web import equipment_factories as rows
from tests.web.at_once import at_once
from tests.web.factories import NOW, make_coop, make_household, make_member

many_times = pytest.mark.parametrize("attempt", range(2))


@pytest.fixture
def stewards(transactional_db):
    """Two who look after all equipment."""
    household = make_household(make_coop(), "Gable")
    return [make_member(household, roles=["steward"]) for _ in range(2)]


@pytest.fixture
def canner(stewards):
    """A dial-gauge canner that another household has booked."""
    thing = rows.make_dial_canner(stewards[0].coop, name="Big canner")
    rows.make_booking(thing, make_household(thing.coop, "Castell"))
    return thing


@many_times
def test_two_faults_at_once_tell_each_household_once(stewards, canner, attempt):
    results = at_once(
        *(
            lambda by=by, said=said: report_fault(
                canner.pk, Report("damaged", said, could_hurt=True), by=by
            )
            for by, said in zip(stewards, ("Cracked.", "Bent."), strict=True)
        )
    )
    assert results == ["done", "done"]
    assert Fault.objects.count() == 2
    assert Told.objects.filter(what=Told.What.OUT_OF_ORDER).count() == 1


@many_times
def test_one_fault_said_by_two_at_once_stands_once(stewards, canner, attempt):
    report = Report("damaged", "Cracked.", could_hurt=True)
    at_once(*(lambda by=by: report_fault(canner.pk, report, by=by) for by in stewards))
    assert Fault.objects.count() == 1


@many_times
def test_a_fault_is_mended_by_one_of_two(stewards, canner, attempt):
    fault = rows.make_fault(canner)
    results = at_once(*(lambda by=by: mend(fault.pk, "Welded.", by=by) for by in stewards))
    assert results == ["TooLate", "done"]
    assert Told.objects.filter(what=Told.What.IN_ORDER).count() == 1


@many_times
def test_the_last_two_faults_mended_at_once_tell_once(stewards, canner, attempt):
    faults = [rows.make_fault(canner, sentence=said) for said in ("Cracked.", "Bent.")]
    at_once(
        *(
            lambda by=by, fault=fault: mend(fault.pk, "Welded.", by=by)
            for by, fault in zip(stewards, faults, strict=True)
        )
    )
    assert Told.objects.filter(what=Told.What.IN_ORDER).count() == 1


@many_times
def test_one_gauge_test_written_by_two_at_once_is_one(stewards, canner, attempt):
    reading = Reading(NOW.date(), "County office", 110, 140)
    at_once(*(lambda by=by: add_gauge_test(canner.pk, reading, by=by) for by in stewards))
    assert (GaugeTest.objects.count(), Fault.objects.count(), Told.objects.count()) == (1, 1, 1)


@many_times
def test_the_same_care_is_put_on_the_list_by_one_of_two(stewards, canner, attempt):
    wish = Round("gasket", every_months=12)
    results = at_once(*(lambda by=by: add_care(canner.pk, wish, by=by) for by in stewards))
    assert results == ["NameTaken", "done"]
    assert Care.objects.count() == 1
