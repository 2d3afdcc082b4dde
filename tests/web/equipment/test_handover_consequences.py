"""What a return leads to: out of order, or to see to before the next handover."""

import pytest

from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.errors import NotFit
from coop.equipment.models import Fault, Told
from coop.equipment.queries.fitness import fitness_of
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member


@pytest.fixture
def dial(coop):
    """A dial canner with a rack."""
    return rows.make_dial_canner(coop, name="Big canner", parts={"rack": 2})


def back_of(thing, household, **found):
    """The thing was out with a household, whole, and comes back as found."""
    booking = rows.make_booking(thing, household, start=NOW - HOUR)
    by = make_member(household)
    counted = {part.name: part.count for part in thing.parts.all()}
    hand_out(booking.pk, Found(counted=counted), by=by)
    found = {"bumped": False, "counted": counted} | found
    return hand_back(booking.pk, FoundBack(**found), by=by)


def faults_of(thing):
    return sorted(thing.faults.values_list("what", "stops"))


def test_what_comes_back_well_is_fit(dial, household):
    assert back_of(dial, household, reading_tenths=0, uses=2).faults == []
    assert not Fault.objects.exists()


def test_a_bumped_dial_is_out_of_order_until_tested(dial, household):
    """Trade practice: a dial gauge is tested "whenever dropped or bumped"."""
    [fault] = back_of(dial, household, bumped=True).faults
    assert (fault.what, fault.stops) == ("bumped", "bookings")
    assert fault.handover.what == "back"
    assert "must be tested" in fault.sentence
    assert fitness_of(dial, NOW.date()).is_out_of_order


def test_a_bumped_weighted_canner_is_looked_over(coop, household):
    thing = rows.make_thing(coop, gauge="weighted")
    back_of(thing, household, bumped=True)
    assert faults_of(thing) == [("bumped", "handover")]


def test_a_dial_that_does_not_rest_at_0_is_out_of_order(dial, household):
    """Common practice, no source."""
    back_of(dial, household, reading_tenths=5)
    assert faults_of(dial) == [("gauge_off", "bookings")]
    assert "0.5 psi" in dial.faults.get().sentence


def test_hours_on_a_meter_are_no_fault(coop, household):
    thing = rows.make_thing(coop, "freeze_dryer")
    back_of(thing, household, reading_tenths=12_345)
    assert faults_of(thing) == []


def test_what_is_damaged_is_out_of_order(dial, household):
    back_of(dial, household, condition="damaged", note="the handle is off")
    assert faults_of(dial) == [("damaged", "bookings")]
    assert "the handle is off" in dial.faults.get().sentence


@pytest.mark.parametrize(
    ("found", "what"),
    [({"condition": "not_clean"}, "not_clean"), ({"counted": {"rack": 1}}, "part_missing")],
)
def test_the_next_handover_waits(dial, household, other_household, found, what):
    back_of(dial, household, **found)
    assert faults_of(dial) == [(what, "handover")]
    theirs = rows.make_booking(dial, other_household, start=NOW + 3 * HOUR)
    with pytest.raises(NotFit):
        hand_out(
            theirs.pk,
            Found(counted={"rack": 2}),
            by=make_member(other_household),
            now=NOW + 3 * HOUR,
        )


def test_a_missing_part_is_named_with_its_number(dial, household):
    back_of(dial, household, counted={"rack": 1})
    assert "rack (1 of 2)" in dial.faults.get().sentence


def test_all_that_is_wrong_is_written_down(dial, household):
    found = {"bumped": True, "condition": "damaged", "counted": {"rack": 0}, "reading_tenths": 20}
    back_of(dial, household, **found)
    assert {what for what, _ in faults_of(dial)} == {
        "bumped",
        "damaged",
        "gauge_off",
        "part_missing",
    }


def test_more_parts_than_there_should_be_are_no_fault(dial, household):
    back_of(dial, household, counted={"rack": 3})
    assert faults_of(dial) == []


def test_who_has_it_booked_is_told_that_it_is_out_of_order(dial, household, other_household):
    rows.make_booking(dial, other_household, start=NOW + 30 * HOUR)
    back_of(dial, household, condition="damaged")
    assert Told.objects.get(household=other_household).what == Told.What.OUT_OF_ORDER


def test_nobody_in_line_is_offered_what_is_out_of_order(dial, household, other_household):
    rows.make_standby(dial, other_household)
    back_of(dial, household, condition="damaged")
    assert not dial.bookings.exclude(household=household).exists()


def test_long_words_of_a_return_fit_its_fault(coop):
    household = make_household(coop, "H" * 80)
    thing = rows.make_dial_canner(
        coop, name="C" * 80, parts={f"{'p' * 38}{n}": 9 for n in range(8)}
    )
    found = {
        "condition": "damaged",
        "bumped": True,
        "note": "n" * 400,
        "counted": {part.name: 0 for part in thing.parts.all()},
    }
    for fault in back_of(thing, household, **found).faults:
        assert len(fault.sentence) <= Fault._meta.get_field("sentence").max_length
