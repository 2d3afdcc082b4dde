"""After a long story played by acts alone, what is told agrees with how everything stands."""

from datetime import date

import pytest

from coop.equipment.actions.booking import Wish, book, book_weekly
from coop.equipment.actions.cares import Round, add_care, care_done
from coop.equipment.actions.changing import cancel, end_now, move
from coop.equipment.actions.fitness import Report, mend, report_fault
from coop.equipment.actions.gauge_tests import Reading, add_gauge_test, strike_test
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.keeping import set_hours, set_parts
from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.money import settle_deposit
from coop.equipment.actions.retiring import bring_back, retire
from coop.equipment.actions.running import move_end
from coop.equipment.actions.shifting import answer_shift
from coop.equipment.actions.standby import Want, end_standby, pass_on, stand_by, take
from coop.equipment.actions.telling import read
from coop.equipment.actions.things import ThingTerms, create_thing, edit_thing
from coop.equipment.actions.walk_up import take_now
from coop.equipment.models import Booking, Thing, Told
from coop.equipment.tasks import let_offers_lapse, tell_who_waits_for_late_things
from coop.notices.models import Matter
from coop.notices.sources import put_right
from coop.people.actions.coops import SETTINGS, Settings, change_settings
from coop.people.actions.households import Details, edit_household
from coop.people.actions.members import set_roles
from tests.web.equipment_factories import HOUR, make_booking
from tests.web.factories import NOW

DAY = 24 * HOUR


class Stage:
    """The cast of the story, and the things as the story makes them."""

    def __init__(self, coop, clock, *, ruth, ines, luc, otto):
        self.coop, self.clock = coop, clock
        self.ruth, self.ines, self.luc, self.otto = ruth, ines, luc, otto

    def thing(self, kind, name, *, owner=None, **terms):
        made = create_thing(kind, ThingTerms(name, **terms), by=self.ruth, owner=owner, parts={})
        return Thing.objects.get(pk=made.pk)

    def book(self, thing, by, start, hours):
        wish = Wish(thing.pk, NOW + start * HOUR, NOW + (start + hours) * HOUR)
        return book([wish], household=by.household, by=by)[0]

    def line(self, thing, by, start, hours):
        begin = NOW + start * HOUR
        want = Want(thing.kind, hours * 60, begin, begin + hours * HOUR, thing_id=thing.pk)
        return stand_by(want, by.household, by=by)

    def at(self, hours):
        self.clock.move_to(NOW + hours * HOUR)


def offered(place):
    return Booking.objects.get(standby=place, cancelled_at=None)


# ---- the chapters ---------------------------------------------------------------------------
def bookings(stage):
    """Booked, weekly, moved, cancelled, ended, walked up to, brought back early and late."""
    canner = stage.thing("pressure_canner", "Big Blue", gauge="weighted", home="Barn")
    booking = stage.book(canner, stage.ines, 48, 3)
    weekly = book_weekly(
        [Wish(canner.pk, NOW + 3 * DAY, NOW + 3 * DAY + HOUR)],
        4,
        household=stage.luc.household,
        by=stage.ruth,
    ).booked
    move(booking.pk, NOW + 50 * HOUR, NOW + 52 * HOUR, by=stage.ruth)
    set_parts(canner.pk, {"lid": 1}, by=stage.ruth)
    cancel(weekly[1].pk, by=stage.luc, later_too=True)
    stage.at(50)
    hand_out(booking.pk, Found(counted={"lid": 1}), by=stage.ines)
    stage.at(51)
    hand_back(booking.pk, FoundBack(bumped=True, counted={"lid": 0}), by=stage.ines)
    stage.at(72.5)
    end_now(weekly[0].pk, by=stage.ruth)
    for fault in canner.faults.all():
        mend(fault.pk, "Looked over.", by=stage.ruth)
    walked = take_now(
        canner.pk,
        NOW + 76 * HOUR,
        Found(counted={"lid": 1}),
        household=stage.luc.household,
        by=stage.luc,
    )
    after = stage.book(canner, stage.ines, 78.5, 2)
    stage.at(77)
    tell_who_waits_for_late_things()
    tell_late(stage.coop)
    hand_back(walked.booking.pk, FoundBack(bumped=False, counted={"lid": 1}), by=stage.ines)
    cancel(after.pk, by=stage.ruth, why="Closed.")
    for told in Told.objects.filter(household=stage.luc.household):
        read(told, by=stage.luc)


def lines(stage):
    """Offered, taken, passed on, run out, left; out of order and in order again."""
    mill = stage.thing("mill", "Squeezo", turnaround_minutes=0)
    first = stage.line(mill, stage.ines, 100, 3)
    second = stage.line(mill, stage.luc, 100, 3)
    pass_on(offered(first).pk, by=stage.ines)
    take(offered(second).pk, by=stage.luc)
    fault = report_fault(mill.pk, Report("damaged", "Bent.", could_hurt=True), by=stage.ines)
    mend(fault.pk, "Straightened.", by=stage.ruth)
    third = stage.line(mill, stage.ines, 120, 2)
    fourth = stage.line(mill, stage.luc, 130, 2)
    stage.at(96)
    let_offers_lapse()
    end_standby(third.pk, by=stage.ines)
    end_standby(fourth.pk, by=stage.luc)
    set_hours(mill.pk, [(0, 480, 1200)], by=stage.ruth)


def runs(stage):
    """What runs longer moves the next ones, one of whom says yes, one no, one had an offer."""
    dryer = stage.thing("freeze_dryer", "Frosty", turnaround_minutes=60)
    run = stage.book(dryer, stage.ines, 97, 30)
    yes = stage.book(dryer, stage.luc, 129, 10)
    no = stage.book(dryer, stage.otto, 141, 10)
    stage.line(dryer, stage.luc, 153, 4)
    stage.at(97)
    hand_out(run.pk, Found(), by=stage.ines)
    ends = NOW + 135 * HOUR
    move_end(run.pk, ends - HOUR, ends, by=stage.ines, others_wait=True)
    answer_shift(yes.pk, suits=True, by=stage.luc)
    answer_shift(no.pk, suits=False, by=stage.otto)
    stage.at(120)
    hand_back(run.pk, FoundBack(bumped=False), by=stage.ines)


def keeping(stage):
    """Gauges tested, struck out and bumped; cares done; owners, stewards, phones and clocks."""
    canner = stage.thing("pressure_canner", "Dial", owner=stage.ines.household, gauge="dial")
    lent = stage.thing("peeler", "Peeler", owner=stage.ines.household, deposit_cents=2000)
    for on in (date(2026, 1, 5), date(2026, 6, 5)):
        test = add_gauge_test(canner.pk, Reading(on, "office", 110, 110), by=stage.ines)
    strike_test(test.pk, by=stage.ines)
    booking = stage.book(canner, stage.luc, 150, 2)
    report_fault(canner.pk, Report("bumped", "It fell."), by=stage.luc)
    care = add_care(canner.pk, Round("vent", every_months=3), by=stage.ines)
    care_done(care.pk, by=stage.luc)
    move(booking.pk, NOW + 151 * HOUR, NOW + 152 * HOUR, by=stage.luc)
    out = take_now(
        lent.pk, NOW + 122 * HOUR, Found(), household=stage.luc.household, by=stage.luc
    ).booking
    hand_back(out.pk, FoundBack(bumped=False, condition="damaged", note="Bent."), by=stage.luc)
    settle_deposit(out.pk, 500, "A new clamp.", by=stage.otto)
    retire(lent.pk, by=stage.ines)
    bring_back(lent.pk, by=stage.ines)
    edit_household(
        stage.ines.household_id, Details("Castell and Co", phone="555-0102"), by=stage.ines
    )
    terms = ThingTerms("Dial 2", gauge="dial", home="Shed")
    edit_thing(canner.pk, terms, by=stage.ruth, owner=None)
    set_roles(stage.otto.pk, ["treasurer", "steward"], by=stage.ruth)
    before = {name: getattr(stage.coop, name) for name in SETTINGS}
    change_settings(Settings(**before | {"time_zone": "America/New_York"}), by=stage.ruth)


@pytest.fixture
def stage(coop, clock, coordinator, member, other_household_member, treasurer):
    return Stage(
        coop, clock, ruth=coordinator, ines=member, luc=other_household_member, otto=treasurer
    )


def test_after_a_long_story_nothing_is_to_be_put_right(stage):
    for chapter in (bookings, lines, runs, keeping):
        chapter(stage)
        stage.coop.refresh_from_db()
        assert put_right(stage.coop) == {}, chapter.__doc__
    told = Matter.objects.values_list("kind", flat=True)
    assert set(told) >= {
        *("booking_starts", "booking_due", "booking_late", "standby_offer", "equipment_news"),
        *("gauge_due", "gauge_now", "care_due"),
    }


def test_what_an_act_would_forget_is_found(stage):
    """The check of the story itself: rows written past the acts are put right, once."""
    mill = stage.thing("mill", "Squeezo")
    booking = stage.book(mill, stage.ines, 48, 2)
    forgotten = make_booking(mill, stage.luc.household, start=NOW + 60 * HOUR)
    Booking.objects.filter(pk=booking.pk).update(cancelled_at=NOW)
    found = put_right(stage.coop)
    assert set(found) == {f"booking:{booking.pk}", f"booking:{forgotten.pk}"}
    assert put_right(stage.coop) == {}
