"""Handing a thing out, and taking it back: who may, when, and what is written down."""

from datetime import timedelta

import pytest

from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.errors import (
    AlreadyWritten,
    NotAllowed,
    NotFit,
    OutsideHours,
    Refused,
    StillOut,
    Taken,
    TooLate,
)
from coop.equipment.models import Booking, Handover
from coop.equipment.queries.handovers import who_has_it
from coop.people.changes import changes_of
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member

GOOD = Found()
WELL = FoundBack(bumped=False)
PARTS = {"gasket": 1, "rack": 2}


@pytest.fixture
def canner(coop):
    """A canner of the co-op with a gasket and two racks."""
    return rows.make_thing(coop, name="Big canner", parts=PARTS, home="Grange hall")


@pytest.fixture
def booking(canner, household):
    """The member's household has it from half an hour ago, for three hours."""
    return rows.make_booking(canner, household, start=NOW - HOUR / 2)


@pytest.fixture
def plain(coop, household):
    """A booking of a thing without parts."""
    return rows.make_booking(rows.make_thing(coop, name="Peeler"), household, start=NOW)


def test_a_thing_goes_out_with_its_parts_counted(booking, member):
    out = hand_out(booking.pk, Found(counted=PARTS, note=" lid is stiff "), by=member)
    assert (out.what, out.condition, out.note, out.by) == ("out", "good", "lid is stiff", member)
    counted = out.parts.values_list("name", "expected", "counted")
    assert list(counted) == [("gasket", 1, 1), ("rack", 2, 2)]
    assert who_has_it(booking.thing) == booking


def test_a_thing_comes_back_against_what_went_out(booking, member):
    hand_out(booking.pk, Found(counted={"gasket": 1, "rack": 1}), by=member)
    back = hand_back(
        booking.pk, FoundBack(bumped=False, counted={"gasket": 1, "rack": 1}), by=member
    )
    assert back.handover.parts.get(name="rack").expected == 1
    # The rack was missing before: one fault, of the going out, and none of the return.
    assert back.faults == []
    assert booking.thing.faults.get().handover.what == "out"
    assert who_has_it(booking.thing) is None


def test_every_part_is_counted(booking, member):
    with pytest.raises(Refused, match="rack"):
        hand_out(booking.pk, Found(counted={"gasket": 1}), by=member)
    assert not Handover.objects.exists()


def test_what_is_damaged_does_not_go_out(plain, member):
    with pytest.raises(Refused) as refusal:
        hand_out(plain.pk, Found(condition="damaged"), by=member)
    assert refusal.value.field == "condition"


@pytest.mark.parametrize("who", ["member", "coordinator", "steward", "owner"])
def test_either_side_and_stewards_hand_over(who, request, coop, household):
    owner = make_member(make_household(coop, "Quist"))
    people = {"owner": owner, "steward": make_member(make_household(coop), roles=["steward"])}
    by = people.get(who) or request.getfixturevalue(who)
    booking = rows.make_booking(rows.make_thing(owner=owner.household), household, start=NOW)
    hand_out(booking.pk, GOOD, by=by)
    assert hand_back(booking.pk, WELL, by=by).handover.by == by


@pytest.mark.parametrize("who", ["other_household_member", "treasurer"])
def test_others_hand_nothing_over(who, request, plain, member):
    other = request.getfixturevalue(who)
    with pytest.raises(NotAllowed):
        hand_out(plain.pk, GOOD, by=other)
    hand_out(plain.pk, GOOD, by=member)
    with pytest.raises(NotAllowed):
        hand_back(plain.pk, WELL, by=other)
    assert Handover.objects.count() == 1


def test_a_second_try_does_no_harm(plain, member):
    hand_out(plain.pk, GOOD, by=member)
    with pytest.raises(AlreadyWritten):
        hand_out(plain.pk, GOOD, by=member)
    hand_back(plain.pk, WELL, by=member)
    with pytest.raises(AlreadyWritten):
        hand_back(plain.pk, WELL, by=member)
    with pytest.raises(TooLate):
        hand_out(plain.pk, GOOD, by=member)
    assert Handover.objects.count() == 2


def test_what_did_not_go_out_does_not_come_back(plain, member):
    with pytest.raises(TooLate):
        hand_back(plain.pk, WELL, by=member)


# ---- the next one -----------------------------------------------------------------------------
def test_what_is_still_out_is_not_handed_out_and_whom_to_ask_is_said(plain, other_household):
    plain.household.phone = "555-0117"
    plain.household.save()
    rows.make_out(plain)
    theirs = rows.make_booking(plain.thing, other_household, start=NOW + 3 * HOUR)
    with pytest.raises(StillOut, match=r"Castell has Peeler.*555-0117.*write down first"):
        hand_out(theirs.pk, GOOD, by=make_member(other_household), now=NOW + 3 * HOUR)


def test_who_has_it_next_may_write_it_back_and_then_out(plain, other_household):
    rows.make_out(plain)
    theirs = rows.make_booking(plain.thing, other_household, start=NOW + 3 * HOUR)
    by, then = make_member(other_household), NOW + 3 * HOUR
    hand_back(plain.pk, WELL, by=by, now=then)
    hand_out(theirs.pk, GOOD, by=by, now=then)
    assert who_has_it(plain.thing) == theirs


@pytest.mark.parametrize("stops", ["bookings", "handover"])
def test_what_is_to_be_seen_to_keeps_it_at_home(plain, member, stops):
    fault = rows.make_fault(plain.thing, stops=stops)
    with pytest.raises(NotFit, match=r"The handle is loose.*ask the steward"):
        hand_out(plain.pk, GOOD, by=member)
    fault.mended_at, fault.mended_by, fault.mended_how = NOW, member, "Screwed tight."
    fault.save()
    assert hand_out(plain.pk, GOOD, by=member).pk


# ---- early and late ---------------------------------------------------------------------------
def test_a_little_early_the_booking_stays(plain, member):
    hand_out(plain.pk, GOOD, by=member, now=NOW - HOUR / 4)
    plain.refresh_from_db()
    assert plain.starts_at == NOW


def test_hours_early_the_booking_begins_now(plain, member):
    hand_out(plain.pk, GOOD, by=member, now=NOW - 5 * HOUR)
    plain.refresh_from_db()
    assert plain.starts_at == NOW - 5 * HOUR
    assert "early" in changes_of(plain.coop, plain).get().sentence


def test_early_is_refused_while_it_is_anothers(plain, member, other_household):
    rows.make_booking(plain.thing, other_household, start=NOW - 4 * HOUR)
    with pytest.raises(Taken, match="Dufresne"):
        hand_out(plain.pk, GOOD, by=member, now=NOW - 5 * HOUR)


def test_early_is_refused_outside_its_hours(coop, household, member):
    # 9:00 to 12:00 on Tuesdays, in Denver; NOW is Tuesday at 9:00.
    thing = rows.make_thing(coop, hours=[(1, 540, 720)])
    booking = rows.make_booking(thing, household, start=NOW)
    with pytest.raises(OutsideHours):
        hand_out(booking.pk, GOOD, by=member, now=NOW - 2 * HOUR)


def test_days_early_is_refused(plain, member):
    with pytest.raises(Refused, match="Move the booking"):
        hand_out(plain.pk, GOOD, by=member, now=NOW - 30 * HOUR)


def test_within_its_time_it_goes_out_late(plain, member):
    assert hand_out(plain.pk, GOOD, by=member, now=NOW + 2 * HOUR).pk


def test_after_its_time_it_stays(plain, member):
    with pytest.raises(TooLate, match="Book it anew"):
        hand_out(plain.pk, GOOD, by=member, now=NOW + 3 * HOUR)


def test_an_offer_is_taken_first(coop, household, member):
    thing = rows.make_thing(coop)
    offer = rows.make_booking(
        thing,
        household,
        start=NOW + HOUR / 4,
        held_until=NOW + HOUR / 4,
        standby=rows.make_standby(thing, household),
    )
    with pytest.raises(Refused, match="take it first"):
        hand_out(offer.pk, GOOD, by=member)


def test_a_cancelled_booking_takes_nothing_out(coop, household, member):
    booking = rows.make_booking(rows.make_thing(coop), household, start=NOW, cancelled_at=NOW)
    with pytest.raises(TooLate, match="cancelled"):
        hand_out(booking.pk, GOOD, by=member)


def test_back_early_the_booking_ends_and_its_time_opens(canner, household, member):
    canner.turnaround_minutes = 60
    canner.save()
    booking = rows.make_booking(canner, household, start=NOW - HOUR)
    rows.make_out(booking)
    hand_back(booking.pk, WELL, by=member, now=NOW + timedelta(seconds=40))
    booking.refresh_from_db()
    assert (booking.ends_at, booking.free_at) == (NOW, NOW + HOUR)
    later = rows.make_booking(canner, household, start=NOW + HOUR)
    assert Booking.objects.filter(pk=later.pk).exists()


def test_back_before_its_start_is_a_minute(plain, member):
    hand_out(plain.pk, GOOD, by=member, now=NOW - HOUR / 3)
    hand_back(plain.pk, WELL, by=member, now=NOW - HOUR / 6)
    plain.refresh_from_db()
    assert plain.ends_at - plain.starts_at == timedelta(minutes=1)


def test_back_late_the_booking_stays_as_it_was(plain, member):
    rows.make_out(plain)
    back = hand_back(plain.pk, WELL, by=member, now=NOW + 9 * HOUR).handover
    plain.refresh_from_db()
    assert plain.ends_at == NOW + 3 * HOUR < back.at


def test_what_opens_is_offered_to_the_first_in_line(plain, member, other_household):
    rows.make_out(plain)
    standby = rows.make_standby(plain.thing, other_household, minutes=60, until_at=NOW + 3 * HOUR)
    hand_back(plain.pk, WELL, by=member)
    assert standby.bookings.get().held_until is not None
