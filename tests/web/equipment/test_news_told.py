"""A household is told of a time in line that is its to take, and of what became of its bookings."""

import pytest

from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.changing import cancel, end_now, move
from coop.equipment.actions.fitness import Report, mend, report_fault
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.lateness import tell_late
from coop.equipment.actions.money import settle_deposit
from coop.equipment.actions.retiring import retire
from coop.equipment.actions.running import move_end
from coop.equipment.actions.shifting import answer_shift
from coop.equipment.actions.standby import Want, end_standby, pass_on, stand_by, take
from coop.equipment.actions.telling import read
from coop.equipment.models import Booking, Told
from coop.equipment.tasks import let_offers_lapse
from coop.notices.models import Matter
from tests.web.equipment_factories import HOUR, make_fault, make_thing
from tests.web.factories import NOW
from tests.web.notices.postman import post

#: Wednesday 12 August at 9:00 in Denver.
TOMORROW = NOW + 24 * HOUR


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Blue", home="Grange hall")


def booked(thing, member, start=TOMORROW, hours=3):
    wish = Wish(thing.pk, start, start + hours * HOUR)
    return book([wish], household=member.household, by=member)[0]


def in_line(thing, member, start=TOMORROW, hours=3):
    want = Want(thing.kind, hours * 60, start, start + hours * HOUR, thing_id=thing.pk)
    return stand_by(want, member.household, by=member)


def offer_to(place):
    return Booking.objects.get(standby=place, cancelled_at=None)


def sent_to(member):
    return [letter for letter in post() if letter.to == [member.user.email]]


def first_lines(member):
    return [letter.body.splitlines()[0] for letter in sent_to(member)]


def told(member, kind="equipment_news"):
    """The titles of what the household is told of a kind and still stands."""
    rows = Matter.objects.filter(household=member.household, kind=kind, dropped_at=None)
    return list(rows.order_by("pk").values_list("title", flat=True))


# ---- a time in line -------------------------------------------------------------------------
def test_who_is_first_in_line_is_told_at_once_and_by_when(canner, member):
    in_line(canner, member)
    [letter] = sent_to(member)
    assert letter.subject == "Big Blue is yours if you take it by Tue 11 Aug at 21:00"
    lines = letter.body.splitlines()
    assert lines[0] == "Take Big Blue or pass it on by Tue 11 Aug at 21:00."
    assert "When: Wed 12 Aug, 9:00 to 12:00 (3 h)." in lines
    assert "Then the next in line is asked." in lines


def test_taken_it_is_a_booking_that_starts(canner, member):
    place = in_line(canner, member)
    take(offer_to(place).pk, by=member)
    assert told(member, "standby_offer") == []
    assert told(member, "booking_starts") == ["Big Blue is yours Wed 12 Aug, 9:00 to 12:00"]


def test_passed_on_it_is_told_to_the_next_in_line(canner, member, other_household_member):
    place = in_line(canner, member)
    in_line(canner, other_household_member)
    assert told(other_household_member, "standby_offer") == []
    pass_on(offer_to(place).pk, by=member)
    assert told(member, "standby_offer") == []
    assert len(told(other_household_member, "standby_offer")) == 1


def test_who_leaves_the_line_is_told_no_more(canner, member):
    place = in_line(canner, member)
    end_standby(place.pk, by=member)
    assert first_lines(member) == []


def test_an_offer_that_ran_out_is_told_as_gone(canner, member, clock):
    in_line(canner, member)
    sent_to(member)
    clock.shift(12 * HOUR)
    let_offers_lapse()
    assert told(member, "standby_offer") == []
    assert told(member) == ["Big Blue: the offer to you is gone"]
    clock.shift(12 * HOUR)  # past the quiet hours of the night
    [letter] = sent_to(member)
    assert letter.body.splitlines()[0] == "Look whether you are still in line."
    assert "/equipment/standby/" in letter.body


def test_an_offer_in_the_night_does_not_wait_until_it_has_run_out(canner, member, clock):
    """It is held until 6:00; mail of the quiet hours would come at 7:00."""
    clock.shift(13 * HOUR)  # 22:00
    in_line(canner, member, start=NOW + 21 * HOUR)
    assert first_lines(member) == ["Take Big Blue or pass it on by Wed 12 Aug at 6:00."]


# ---- news -----------------------------------------------------------------------------------
def test_what_another_changes_for_a_household_is_told_until_it_is_read(canner, member, coordinator):
    booking = booked(canner, member)
    move(booking.pk, TOMORROW + HOUR, TOMORROW + 2 * HOUR, by=coordinator)
    [letter] = sent_to(member)
    assert letter.subject == "Big Blue: what was changed for you"
    assert letter.body.splitlines()[0] == "Read what was changed, and look at your booking."
    assert "Ruth Adeyemi moved Big Blue for you, from Wed 12 Aug, 9:00 to 12:00" in letter.body
    read(Told.objects.get(), by=member)
    assert told(member) == []


def test_what_was_read_on_the_site_is_not_mailed_after_the_quiet_hours(
    canner, member, coordinator, clock
):
    clock.shift(14 * HOUR)
    booking = booked(canner, member, start=NOW + 48 * HOUR)
    cancel(booking.pk, by=coordinator)
    assert first_lines(member) == []
    read(Told.objects.get(), by=member)
    clock.shift(12 * HOUR)
    assert first_lines(member) == []


def test_out_of_order_is_told_with_what_to_do_and_in_order_again_takes_its_place(
    canner, member, coordinator
):
    booked(canner, member)
    fault = report_fault(
        canner.pk, Report("damaged", "The handle is loose.", could_hurt=True), by=coordinator
    )
    [letter] = sent_to(member)
    lines = letter.body.splitlines()
    assert letter.subject == "Big Blue: out of order"
    assert lines[0] == "Move it to another time, book another thing, or cancel it."
    assert lines.count(lines[0]) == 1
    mend(fault.pk, "A new screw.", by=coordinator)
    assert told(member) == ["Big Blue: in order again"]
    assert first_lines(member) == ["There is nothing to do: your booking stands."]


def test_who_has_it_reads_first_to_stop_using_it(canner, member, coordinator):
    booking = booked(canner, member, start=NOW)
    hand_out(booking.pk, Found(), by=member)
    report_fault(canner.pk, Report("damaged", "It leaks.", could_hurt=True), by=coordinator)
    assert first_lines(member) == ["Stop using it, and bring it back."]


def test_cancelled_its_news_are_dropped(canner, member, coordinator):
    booking = booked(canner, member)
    report_fault(canner.pk, Report("damaged", "It leaks.", could_hurt=True), by=coordinator)
    cancel(booking.pk, by=member)
    assert first_lines(member) == []


@pytest.fixture
def dryer(coop):
    return make_thing(coop, "freeze_dryer", name="Frosty", turnaround_minutes=360)


@pytest.fixture
def running(dryer, member):
    booking = booked(dryer, member, start=NOW, hours=40)
    hand_out(booking.pk, Found(), by=member)
    return booking


def test_who_is_moved_later_is_asked_and_answers_once(
    dryer, running, member, other_household_member
):
    following = booked(dryer, other_household_member, start=NOW + 46 * HOUR, hours=10)
    ends = NOW + 45 * HOUR
    move_end(running.pk, ends - HOUR, ends, by=member, others_wait=True)
    [letter] = sent_to(other_household_member)
    assert letter.subject == "Frosty: yours would begin later"
    assert letter.body.splitlines()[0] == "Say whether the later time suits you."
    assert f"/bookings/{following.pk}/shift/" in letter.body
    answer_shift(following.pk, suits=True, by=other_household_member)
    assert told(other_household_member) == []


def test_the_one_before_is_told_of_a_no(dryer, running, member, other_household_member):
    following = booked(dryer, other_household_member, start=NOW + 46 * HOUR, hours=10)
    ends = NOW + 45 * HOUR
    move_end(running.pk, ends - HOUR, ends, by=member, others_wait=True)
    answer_shift(following.pk, suits=False, by=other_household_member)
    assert first_lines(member) == ["Take your time: the next in line lets it go."]
    assert told(other_household_member) == []
    assert told(other_household_member, "booking_starts") == []


def test_who_waits_for_what_is_late_is_told_until_it_is_theirs(
    canner, member, other_household_member, clock
):
    first = booked(canner, member, start=NOW)
    hand_out(first.pk, Found(), by=member)
    following = booked(canner, other_household_member, start=NOW + 4 * HOUR)
    clock.move_to(first.ends_at + HOUR / 2)
    tell_late(canner.coop)
    assert first_lines(other_household_member) == ["Ask when it comes, or move your booking."]
    hand_back(first.pk, FoundBack(bumped=False), by=member)
    clock.move_to(following.starts_at)
    hand_out(following.pk, Found(), by=other_household_member)
    assert told(other_household_member) == []


def test_what_is_kept_of_a_deposit_is_told(coop, member, treasurer):
    thing = make_thing(coop, name="Squeezo", deposit_cents=2500)
    booking = booked(thing, member, start=NOW)
    hand_out(booking.pk, Found(), by=member)
    hand_back(booking.pk, FoundBack(bumped=False, condition="damaged"), by=member)
    settle_deposit(booking.pk, 500, "A new crank.", by=treasurer)
    [letter] = sent_to(member)
    assert "A new crank." in letter.body


def test_a_place_in_line_that_ends_with_its_thing_is_told(canner, member, coordinator):
    make_fault(canner)  # so that nothing is offered
    in_line(canner, member)
    retire(canner.pk, by=coordinator)
    [letter] = sent_to(member)
    assert letter.subject == "Big Blue: your place in line has ended"
    assert letter.body.splitlines()[0] == "Find a time on another thing."


def test_who_acts_for_oneself_is_told_nothing(canner, member, clock):
    booking = booked(canner, member, start=NOW)
    clock.shift(HOUR)
    end_now(booking.pk, by=member)
    assert told(member) == []


def test_news_of_a_time_come_before_it_though_it_is_night(canner, member, coordinator, clock):
    """It is 23:00, and theirs at 6:00: mail at 7:00, after the quiet hours, would be too late."""
    booked(canner, member, start=NOW + 21 * HOUR)
    clock.shift(14 * HOUR)
    report_fault(canner.pk, Report("damaged", "It leaks.", could_hurt=True), by=coordinator)
    [letter] = sent_to(member)
    assert "Move it to another time, book another thing, or cancel it." in letter.body
