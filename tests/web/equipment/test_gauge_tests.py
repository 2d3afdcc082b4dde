"""Gauge tests: what the latest found holds, a canner out of date warns, older tests are history.

USDA15 ("Complete Guide to Home Canning", USDA 2015, guide 1; see the tables' sources): have dial
gauges tested before use each year, and replace a gauge that is off by more than 2 psi.
"""

from datetime import date, timedelta

import pytest

from coop.equipment.actions.gauge_tests import Reading, add_gauge_test, strike_test
from coop.equipment.errors import NotAllowed, Refused, TooLate
from coop.equipment.models import Fault, GaugeTest, Told
from coop.equipment.queries.fitness import fitness_of
from coop.people.changes import changes_of
from tests.web import equipment_factories as rows
from tests.web.factories import NOW, make_household, make_member

TODAY = NOW.date()
OFFICE = "County extension office"


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop, "Gable"), "Hattie Gable", roles=["steward"])


@pytest.fixture
def canner(coop):
    """A canner of the co-op with a dial gauge that was never tested."""
    return rows.make_dial_canner(coop, name="Big canner")


def found(read_tenths=110, *, true_tenths=110, on=TODAY, **more):
    return Reading(on, OFFICE, true_tenths, read_tenths, **more)


def open_faults(thing):
    return list(thing.faults.filter(mended_at=None).order_by("id"))


def test_a_gauge_that_reads_right_is_fit_for_a_year(canner, steward):
    add_gauge_test(canner.pk, found(), by=steward)
    fitness = fitness_of(canner, TODAY)
    assert not fitness.gauge_is_out_of_date
    assert fitness.test_due_on == date(2027, 8, 11)  # USDA15: each year
    assert fitness.off_tenths == 0


@pytest.mark.parametrize("read_tenths", (90, 95, 109, 111, 130))
def test_up_to_two_psi_off_it_may_be_used(canner, steward, read_tenths):
    add_gauge_test(canner.pk, found(read_tenths), by=steward)  # USDA15: replaced over 2 psi
    assert not open_faults(canner)
    assert fitness_of(canner, TODAY).off_tenths == read_tenths - 110


@pytest.mark.parametrize(("read_tenths", "shown"), ((131, "13.1 psi"), (89, "8.9 psi")))
def test_over_two_psi_off_it_must_be_replaced(canner, steward, household, read_tenths, shown):
    rows.make_booking(canner, household)
    add_gauge_test(canner.pk, found(read_tenths), by=steward)
    (fault,) = open_faults(canner)
    assert (fault.what, fault.stops) == ("gauge_off", "bookings")
    assert f"showed {shown} at 11 psi: off by more than 2 psi" in fault.sentence
    assert "Complete Guide to Home Canning" in fault.sentence
    assert Told.objects.get().household == household


def test_a_new_gauge_that_is_tested_lifts_it(canner, steward, household):
    rows.make_booking(canner, household)
    add_gauge_test(canner.pk, found(140, on=TODAY - timedelta(days=3)), by=steward)
    add_gauge_test(canner.pk, found(140, on=TODAY - timedelta(days=2)), by=steward)
    assert len(open_faults(canner)) == 1
    add_gauge_test(canner.pk, found(is_new_gauge=True), by=steward)
    assert not open_faults(canner)
    mended = Fault.objects.get()
    assert mended.mended_how == (
        "New gauge tested Tue 11 Aug 2026 by County extension office: it reads right."
    )
    assert Told.objects.filter(what=Told.What.IN_ORDER, household=household).count() == 1


@pytest.mark.parametrize(("read_tenths", "left"), ((110, []), (120, []), (135, 2)))
def test_a_bumped_gauge_is_lifted_only_by_a_test_within_the_limit(
    canner, steward, read_tenths, left
):
    rows.make_fault(canner, what="bumped")
    add_gauge_test(canner.pk, found(read_tenths, since_then=True), by=steward)
    assert len(open_faults(canner)) == (left or 0)


def test_a_test_of_before_the_bump_lifts_nothing(canner, steward):
    rows.make_fault(canner, what="bumped")
    add_gauge_test(canner.pk, found(on=TODAY - timedelta(days=1)), by=steward)
    assert len(open_faults(canner)) == 1


def test_a_test_of_that_morning_lifts_nothing_unless_it_was_after(canner, steward):
    rows.make_fault(canner, what="bumped")
    add_gauge_test(canner.pk, found(), by=steward)
    assert len(open_faults(canner)) == 1
    add_gauge_test(canner.pk, found(111, since_then=True), by=steward)
    assert not open_faults(canner)


def test_other_faults_are_not_lifted_by_a_test(canner, steward):
    rows.make_fault(canner, what="damaged")
    add_gauge_test(canner.pk, found(), by=steward)
    assert len(open_faults(canner)) == 1


def test_an_older_test_is_history_alone(canner, steward):
    add_gauge_test(canner.pk, found(), by=steward)
    add_gauge_test(canner.pk, found(150, on=TODAY - timedelta(days=400)), by=steward)
    assert not open_faults(canner)
    assert fitness_of(canner, TODAY).tested.read_tenths == 110
    assert GaugeTest.objects.count() == 2


def test_a_gauge_that_must_be_replaced_is_not_found_right_another_time(canner, steward):
    rows.make_fault(canner, what="gauge_off", sentence="It seems off.")
    add_gauge_test(canner.pk, found(151, on=TODAY - timedelta(days=1)), by=steward)
    # USDA15, guide 1: a gauge that is off by more than 2 psi is replaced.
    with pytest.raises(Refused, match=r"must be replaced, .*Complete Guide") as refusal:
        add_gauge_test(canner.pk, found(115), by=steward)
    assert refusal.value.field == "is_new_gauge"
    assert canner.gauge_tests.count() == 1
    add_gauge_test(canner.pk, found(140), by=steward)  # still off: that may be written
    add_gauge_test(canner.pk, found(on=TODAY - timedelta(days=9)), by=steward)  # as history may
    assert len(open_faults(canner)) == 1
    add_gauge_test(canner.pk, found(115, is_new_gauge=True), by=steward)
    assert not open_faults(canner)


def test_a_slip_of_the_pen_is_struck_out_and_written_right(canner, steward):
    slip = add_gauge_test(canner.pk, found(151), by=steward)
    assert open_faults(canner)
    strike_test(slip.pk, by=steward)
    assert open_faults(canner)
    add_gauge_test(canner.pk, found(115, since_then=True), by=steward)
    assert not open_faults(canner)


def test_a_test_is_out_of_date_on_the_day_a_year_later(canner):
    rows.make_gauge_test(canner, tested_on=date(2025, 8, 12))
    # USDA15: each year. Due from 12 August on.
    assert not fitness_of(canner, TODAY).gauge_is_out_of_date
    assert fitness_of(canner, date(2026, 8, 12)).gauge_is_out_of_date


@pytest.mark.parametrize(("tested_on", "soon"), ((date(2025, 10, 6), True), (date(2025, 10, 7), 0)))
def test_it_is_due_soon_eight_weeks_before(canner, tested_on, soon):
    rows.make_gauge_test(canner, tested_on=tested_on)
    # 4 to 8 weeks before the first pressure day: trade notes, section 9. 6 October is 56 days on.
    assert fitness_of(canner, TODAY).gauge_is_due_soon == bool(soon)


@pytest.mark.parametrize(
    ("on", "words"),
    (
        (TODAY + timedelta(days=1), "still to come"),
        (date(2062, 8, 11), "still to come"),
        (date(206, 8, 11), "over ten years ago"),
    ),
)
def test_days_that_cannot_be_are_refused(canner, steward, on, words):
    with pytest.raises(Refused, match=words) as refusal:
        add_gauge_test(canner.pk, found(on=on), by=steward)
    assert refusal.value.field == "tested_on"
    assert not GaugeTest.objects.exists()


def test_today_is_that_of_the_co_op(canner, steward, clock):
    # Half past four in the morning of the 12th in UTC: still the 11th in Denver.
    clock.move_to(NOW + timedelta(hours=13, minutes=30))
    with pytest.raises(Refused, match="still to come"):
        add_gauge_test(canner.pk, found(on=date(2026, 8, 12)), by=steward)


@pytest.mark.parametrize("gauge", ("weighted", ""))
def test_only_a_dial_gauge_is_tested(coop, steward, gauge):
    with pytest.raises(Refused, match="no dial gauge"):
        add_gauge_test(rows.make_thing(coop, gauge=gauge).pk, found(), by=steward)


def test_testing_is_for_its_keepers(canner, member, steward, other_household_member):
    with pytest.raises(NotAllowed):
        add_gauge_test(canner.pk, found(), by=member)
    own = rows.make_dial_canner(owner=other_household_member.household)
    add_gauge_test(own.pk, found(), by=other_household_member)


def test_what_is_retired_is_not_tested(canner, steward):
    canner.retired_at = NOW
    canner.save()
    with pytest.raises(TooLate):
        add_gauge_test(canner.pk, found(), by=steward)


def test_the_same_test_twice_is_one(canner, steward):
    first = add_gauge_test(canner.pk, found(115), by=steward)
    assert add_gauge_test(canner.pk, found(115), by=steward) == first
    assert len(changes_of(canner.coop, canner)) == 1


# ---- Written by mistake ---------------------------------------------------------------------
def test_a_test_of_a_wrong_day_is_struck_out(canner, steward):
    rows.make_gauge_test(canner, tested_on=date(2025, 3, 1))
    wrong = add_gauge_test(canner.pk, found(), by=steward)
    assert not fitness_of(canner, TODAY).gauge_is_out_of_date
    strike_test(wrong.pk, by=steward)
    assert fitness_of(canner, TODAY).gauge_is_out_of_date
    assert changes_of(canner.coop, canner)[0].sentence.startswith("Struck out: Gauge tested Tue")


def test_what_a_struck_test_had_lifted_stands_again_and_is_told(canner, steward, household, clock):
    rows.make_booking(canner, household)
    bumped = rows.make_fault(canner, what="bumped", sentence="It fell.")
    rows.make_fault(canner, what="gauge_off", mended_at=NOW, mended_how="before", mended_by=steward)
    clock.shift(timedelta(hours=1))
    test = add_gauge_test(canner.pk, found(since_then=True), by=steward)
    assert not open_faults(canner)
    strike_test(test.pk, by=steward)
    assert open_faults(canner) == [bumped]
    assert Told.objects.filter(what=Told.What.OUT_OF_ORDER, sentence__contains="fell").count() == 1


def test_where_the_test_before_was_off_it_is_out_of_order_again(canner, steward):
    add_gauge_test(canner.pk, found(140, on=TODAY - timedelta(days=1)), by=steward)
    right = add_gauge_test(canner.pk, found(is_new_gauge=True), by=steward)
    strike_test(right.pk, by=steward)
    assert [fault.what for fault in open_faults(canner)] == ["gauge_off"]


def test_striking_is_for_keepers_of_the_same_co_op(
    as_member, as_outsider, as_coordinator, canner, steward
):
    test = add_gauge_test(canner.pk, found(), by=steward)
    strike = f"/cottonwood/equipment/gauge-tests/{test.pk}/strike/"
    assert as_member.post(strike).status_code == 403
    assert as_outsider.post(strike.replace("cottonwood", "sagebrush")).status_code == 404
    assert as_coordinator.get(strike).status_code == 405
    assert canner.gauge_tests.exists()
    assert as_coordinator.post(strike).status_code == 302
    assert as_coordinator.post(strike).status_code == 404
    assert not canner.gauge_tests.exists()
