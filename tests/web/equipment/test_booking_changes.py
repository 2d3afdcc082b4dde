"""Bookings moved, shortened, ended early and cancelled."""

from datetime import timedelta

import pytest

from coop.equipment.actions import changing
from coop.equipment.actions.booking import Wish, book, book_weekly
from coop.equipment.actions.changing import cancel, end_now, move
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.telling import tell
from coop.equipment.errors import (
    NotAllowed,
    NotFit,
    OutsideHours,
    Refused,
    StillOut,
    Taken,
    TooLate,
    TooLong,
)
from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking, Told
from coop.people.changes import changes_of
from tests.web.equipment_factories import (
    HOUR,
    make_back,
    make_booking,
    make_fault,
    make_out,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW

DAY, WEEK = timedelta(days=1), timedelta(days=7)
TOMORROW = NOW + DAY


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Red", turnaround_minutes=60)


@pytest.fixture
def mine(canner, household):
    """A booking of the member's household, tomorrow from 9:00 to 12:00."""
    return make_booking(canner, household)


@pytest.fixture
def begun(canner, household):
    """A booking that began an hour ago and lasts two hours more."""
    return make_booking(canner, household, start=NOW - HOUR)


# ---- moving ---------------------------------------------------------------------------------
def test_a_booking_moves_to_another_time(mine, member):
    move(mine.pk, TOMORROW + HOUR, TOMORROW + 5 * HOUR, by=member)
    mine.refresh_from_db()
    assert (mine.starts_at, mine.ends_at) == (TOMORROW + HOUR, TOMORROW + 5 * HOUR)
    assert mine.free_at == TOMORROW + 6 * HOUR
    [change] = changes_of(mine.coop, mine)
    assert change.sentence == "Moved from Wed 12 Aug, 9:00 to 12:00 to Wed 12 Aug, 10:00 to 14:00."
    assert change.before["starts_at"] == TOMORROW.isoformat()


def test_a_move_may_overlap_the_time_that_it_leaves_but_nobody_elses(mine, member, other_household):
    make_booking(mine.thing, other_household, start=TOMORROW + 6 * HOUR)
    with pytest.raises(Taken) as refusal:
        move(mine.pk, TOMORROW + 3 * HOUR, TOMORROW + 6 * HOUR, by=member)
    # Its own time does not stand against the next free ones.
    assert refusal.value.free[0][0] == TOMORROW + 10 * HOUR
    move(mine.pk, TOMORROW + 2 * HOUR, TOMORROW + 5 * HOUR, by=member)


def test_the_same_time_again_changes_nothing(mine, member):
    move(mine.pk, mine.starts_at, mine.ends_at, by=member)
    assert not changes_of(mine.coop, mine).exists()


def test_a_move_keeps_the_rules_of_the_thing(member, household, coop):
    thing = make_thing(coop, hours=[(2, 480, 900)], longest_minutes=240)
    mine = make_booking(thing, household)
    with pytest.raises(OutsideHours):
        move(mine.pk, TOMORROW + 4 * HOUR, TOMORROW + 7 * HOUR, by=member)
    with pytest.raises(TooLong):
        move(mine.pk, TOMORROW - HOUR, TOMORROW + 4 * HOUR, by=member)
    with pytest.raises(TooLate):
        move(mine.pk, NOW - HOUR, NOW + HOUR, by=member)
    with pytest.raises(Refused, match="over a year away"):
        move(mine.pk, NOW + 401 * DAY, NOW + 401 * DAY + HOUR, by=member)
    make_fault(thing)
    with pytest.raises(NotFit):
        move(mine.pk, TOMORROW - HOUR, TOMORROW + HOUR, by=member)


def test_a_booking_can_always_be_made_shorter(mine, member, canner):
    # Narrower rules than when it was made, and out of order besides.
    make_fault(canner)
    canner.longest_minutes, canner.turnaround_minutes = 30, 600
    canner.save()
    move(mine.pk, TOMORROW, TOMORROW + 2 * HOUR, by=member)
    mine.refresh_from_db()
    assert mine.free_at == TOMORROW + 3 * HOUR


def test_what_is_out_moves_its_end_alone(begun, member):
    make_out(begun)
    with pytest.raises(Refused, match="has it already"):
        move(begun.pk, NOW, NOW + 3 * HOUR, by=member)
    move(begun.pk, begun.starts_at, NOW + 4 * HOUR, by=member)
    with pytest.raises(TooLate, match="end has passed"):
        move(begun.pk, begun.starts_at, NOW - HOUR / 2, by=member)


def test_who_brings_it_late_may_say_until_when(canner, household, member):
    late = make_booking(canner, household, start=NOW - 5 * HOUR)
    make_out(late)
    assert move(late.pk, late.starts_at, NOW + HOUR, by=member).ends_at == NOW + HOUR


def test_what_is_over_back_or_cancelled_does_not_move(canner, household, member):
    over = make_booking(canner, household, start=NOW - 5 * HOUR)
    gone = make_booking(canner, household, cancelled_at=NOW, cancelled_by=member)
    back = make_booking(canner, household, start=NOW - HOUR / 2, hours=2)
    make_out(back)
    make_back(back, at=NOW)
    for each in (over, gone, back):
        with pytest.raises(TooLate):
            move(each.pk, TOMORROW + 9 * HOUR, TOMORROW + 10 * HOUR, by=member)


def test_the_likely_end_moves_along(coop, household, member):
    dryer = make_thing(coop, ThingKind.FREEZE_DRYER)
    mine = make_booking(dryer, household, hours=40, expected_at=TOMORROW + 28 * HOUR)
    move(mine.pk, TOMORROW + HOUR, TOMORROW + 41 * HOUR, by=member)
    mine.refresh_from_db()
    assert mine.expected_at == TOMORROW + 29 * HOUR
    move(mine.pk, TOMORROW + HOUR, TOMORROW + 20 * HOUR, by=member)
    mine.refresh_from_db()
    assert mine.expected_at == TOMORROW + 20 * HOUR


def test_another_likely_end_alone_is_written_down_as_that(coop, household, member):
    dryer = make_thing(coop, ThingKind.FREEZE_DRYER)
    mine = make_booking(dryer, household, hours=40, expected_at=TOMORROW + 28 * HOUR)
    for expected in (TOMORROW + 28 * HOUR, TOMORROW + 30 * HOUR):
        move(mine.pk, mine.starts_at, mine.ends_at, by=member, expected_at=expected)
    assert changes_of(coop, mine).get().sentence == "Likely to be done Thu 13 Aug, 15:00."


def test_an_offer_is_not_moved_or_cancelled_but_taken_or_passed_on(canner, household, member):
    standby = make_standby(canner, household)
    offer = make_booking(canner, household, held_until=NOW + HOUR, standby=standby)
    for act in (
        lambda: move(offer.pk, TOMORROW, TOMORROW + HOUR, by=member),
        lambda: cancel(offer.pk, by=member),
    ):
        with pytest.raises(Refused, match="It is an offer"):
            act()


def test_what_was_booked_for_the_same_time_moves_along_or_nothing_moves(
    canner, household, member, other_household
):
    burner, kettle = make_thing(canner.coop, ThingKind.BURNER), make_thing(canner.coop)
    wishes = [Wish(each.pk, TOMORROW, TOMORROW + 3 * HOUR) for each in (canner, burner)]
    first, _ = book(wishes, household=household, by=member)
    make_booking(kettle, household, together=first.together, start=TOMORROW + WEEK)
    make_booking(burner, other_household, start=TOMORROW + 5 * HOUR)
    start = TOMORROW + 4 * HOUR
    with pytest.raises(Taken) as refusal:
        move(first.pk, start, start + 3 * HOUR, by=member, with_others=True)
    first.refresh_from_db()
    assert first.starts_at == TOMORROW
    # The burner is free at 17:00; where both stand now does not count.
    assert refusal.value.free[0][0] == TOMORROW + 8 * HOUR
    move(first.pk, *refusal.value.free[0], by=member, with_others=True)
    starts = Booking.objects.filter(together=first.together).values_list("starts_at", flat=True)
    assert sorted(starts) == [TOMORROW + 8 * HOUR] * 2 + [TOMORROW + WEEK]


# ---- ending early ---------------------------------------------------------------------------
def test_a_booking_that_has_begun_can_end_now(begun, member):
    end_now(begun.pk, by=member)
    begun.refresh_from_db()
    assert (begun.ends_at, begun.free_at) == (NOW, NOW + HOUR)
    assert changes_of(begun.coop, begun).get().sentence == "Ended early, Tue 11 Aug, 9:00."


def test_what_has_not_begun_is_cancelled_and_what_is_out_is_brought_back(mine, begun, member):
    with pytest.raises(Refused, match="Cancel it instead"):
        end_now(mine.pk, by=member)
    make_out(begun)
    with pytest.raises(StillOut, match="write down that it is back"):
        end_now(begun.pk, by=member)


def test_ending_twice_does_no_harm(begun, member):
    end_now(begun.pk, by=member)
    with pytest.raises(TooLate, match="over already"):
        end_now(begun.pk, by=member)


# ---- cancelling -----------------------------------------------------------------------------
def test_a_cancelled_booking_says_who_and_why(mine, member):
    assert cancel(mine.pk, by=member, why="The peaches froze.") == [mine]
    mine.refresh_from_db()
    assert (mine.cancelled_at, mine.cancelled_by) == (NOW, member)
    assert changes_of(mine.coop, mine).get().sentence == "Cancelled: The peaches froze."


def test_cancelling_twice_says_who_was_first(mine, member):
    cancel(mine.pk, by=member)
    with pytest.raises(TooLate, match="Ines Castell cancelled it already"):
        cancel(mine.pk, by=member)


def test_what_is_out_or_over_is_not_cancelled(begun, canner, household, member):
    over = make_booking(canner, household, start=NOW - 9 * HOUR)
    make_out(begun)
    with pytest.raises(StillOut):
        cancel(begun.pk, by=member)
    with pytest.raises(TooLate, match="over already"):
        cancel(over.pk, by=member)


def test_the_later_ones_of_the_same_act_go_with_it_if_wanted(canner, coop, member):
    burner = make_thing(coop, ThingKind.BURNER)
    wishes = [Wish(each.pk, TOMORROW, TOMORROW + HOUR) for each in (canner, burner)]
    season = book_weekly(wishes, 3, household=member.household, by=member)
    [alone] = book(
        [Wish(canner.pk, TOMORROW + 20 * DAY, TOMORROW + 20 * DAY + HOUR)],
        household=member.household,
        by=member,
    )
    second = season.booked[2]
    assert cancel(second.pk, by=member, later_too=True) == season.booked[2:]
    assert set(Booking.objects.filter(cancelled_at=None)) == {*season.booked[:2], alone}


def test_a_later_one_that_is_out_stays(canner, coop, member):
    wishes = [
        Wish(each.pk, NOW, NOW + HOUR) for each in (canner, make_thing(coop, ThingKind.BURNER))
    ]
    first, second = book(wishes, household=member.household, by=member)
    make_out(second)
    assert cancel(first.pk, by=member, later_too=True) == [first]


# ---- who, and who is told -------------------------------------------------------------------
ACTS = {
    "move": lambda booking, by: move(booking.pk, NOW - HOUR, NOW + HOUR, by=by),
    "end": lambda booking, by: end_now(booking.pk, by=by),
    "cancel": lambda booking, by: cancel(booking.pk, by=by),
}


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_only_its_household_a_steward_and_a_coordinator_change_a_booking(
    act, begun, treasurer, other_household_member
):
    for by in (treasurer, other_household_member):
        with pytest.raises(NotAllowed):
            act(begun, by)
    begun.refresh_from_db()
    assert (begun.ends_at, begun.cancelled_at) == (NOW + 2 * HOUR, None)


@pytest.mark.parametrize(
    ("act", "words"),
    [
        ("move", "moved Big Red for you, from Tue 11 Aug, 8:00 to 11:00 to Tue 11 Aug, 8:00 to"),
        ("end", "ended your booking of Big Red early: Tue 11 Aug, 8:00 to 9:00."),
        ("cancel", "cancelled Big Red for you: Tue 11 Aug, 8:00 to 11:00."),
    ],
)
def test_the_household_is_told_what_a_coordinator_changed(
    act, words, begun, coordinator, household
):
    ACTS[act](begun, coordinator)
    [told] = household.told.all()
    assert told.sentence.startswith(f"Ruth Adeyemi {words}")
    assert told.booking == begun


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_who_changes_its_own_booking_is_told_nothing(act, begun, member, household):
    act(begun, member)
    assert not household.told.exists()


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_what_is_freed_is_offered_with_the_thing_locked(act, begun, member, monkeypatch):
    offered = []
    monkeypatch.setattr(
        changing.openings, "offer_openings", lambda thing, now: offered.append((thing, now))
    )
    act(begun, member)
    assert offered == [(begun.thing, NOW)]


def test_a_time_that_a_cancelled_booking_frees_is_held_for_the_first_in_line(
    mine, member, other_household
):
    make_booking(mine.thing, start=NOW, hours=23)
    standby = make_standby(mine.thing, other_household, until_at=TOMORROW + 3 * HOUR)
    cancel(mine.pk, by=member)
    offer = Booking.objects.get(standby=standby)
    assert (offer.starts_at, offer.household) == (TOMORROW, other_household)
    assert offer.held_until is not None


# ---- what was told of it --------------------------------------------------------------------
def unread(household):
    return [told.what for told in Told.objects.filter(household=household, read_at=None)]


@pytest.mark.parametrize("what", ["out_of_order", "in_order", "shifted", "late", "offered"])
def test_what_was_told_of_a_cancelled_booking_need_not_be_read(mine, member, what):
    told = tell(mine.household, what, mine.thing, "About it.", booking=mine)
    tell(mine.household, "changed", mine.thing, "Nora moved it.", booking=mine)
    cancel(mine.pk, by=member)
    told.refresh_from_db()
    assert (told.read_at, told.read_by) == (NOW, None)
    assert unread(mine.household) == ["changed"]


def test_that_a_thing_is_out_of_order_is_told_while_another_booking_comes(mine, canner, member):
    other = make_booking(canner, mine.household, start=TOMORROW + DAY)
    for what in ("out_of_order", "in_order"):
        tell(mine.household, what, canner, "About it.", booking=mine)
    tell(mine.household, "out_of_order", canner, "About it.", booking=other)
    cancel(mine.pk, by=member)
    assert unread(mine.household) == ["out_of_order", "out_of_order"]
    cancel(other.pk, by=member)
    assert unread(mine.household) == []


def test_ended_early_and_handed_over_are_no_news_either(begun, mine, member):
    tell(begun.household, "late", begun.thing, "It is not back yet.", booking=begun)
    hand_out(begun.pk, Found(), by=member)
    assert unread(begun.household) == []
    tell(begun.household, "out_of_order", begun.thing, "Bring it back.", booking=begun)
    cancel(mine.pk, by=member)
    hand_back(begun.pk, FoundBack(bumped=False), by=member)
    assert unread(begun.household) == []
