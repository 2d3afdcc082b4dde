"""A freeze dryer takes longer than thought: its end is moved, and who comes next waits.

Cycles of 16 to 40 hours and the defrosting after them are in the trade's published examples
(extension and owners' reports, cited in the notes to kinds.py); the times here are made up.
"""

from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse

from coop.equipment.actions.running import OthersMustWait, move_end
from coop.equipment.actions.shifting import answer_shift
from coop.equipment.errors import NotAllowed, Refused, TooLate
from coop.equipment.models import Booking, Told
from coop.people.models import Change
from tests.web import equipment_factories as make
from tests.web import factories
from tests.web.reading import text_of

HOUR = timedelta(hours=1)
START = factories.NOW - 20 * HOUR


@pytest.fixture
def dryer(coop):
    return make.make_thing(coop, "freeze_dryer", name="Frosty", turnaround_minutes=360)


@pytest.fixture
def running(dryer, household, member):
    booking = make.make_booking(
        dryer, household, start=START, hours=40, expected_at=START + 28 * HOUR
    )
    make.make_out(booking)
    return booking


@pytest.fixture
def following(dryer, running, other_household, other_household_member):
    """The next in line, from the moment on when the dryer should be ready again."""
    return make.make_booking(
        dryer, other_household, start=running.free_at, hours=40, expected_at=None
    )


def moved(booking, member, hours, **options):
    ends = booking.ends_at + hours * HOUR
    return move_end(booking.pk, ends - 4 * HOUR, ends, by=member, **options)


def fresh(booking):
    return Booking.objects.get(pk=booking.pk)


# ---- the run itself -------------------------------------------------------------------------
def test_it_takes_longer_and_nobody_waits(running, member):
    moved(running, member, 5)
    again = fresh(running)
    assert again.ends_at == running.ends_at + 5 * HOUR
    assert again.free_at == again.ends_at + 6 * HOUR
    assert again.expected_at == again.ends_at - 4 * HOUR
    assert Change.objects.filter(about=f"booking:{running.pk}", member=member).count() == 1


def test_it_may_be_done_sooner_and_the_time_is_offered(running, member, other_household):
    make.make_standby(
        running.thing,
        other_household,
        from_at=running.ends_at,
        until_at=running.free_at,
        minutes=180,
    )
    moved(running, member, -4)
    assert Told.objects.get(household=other_household).what == Told.What.OFFERED


@pytest.mark.parametrize(
    ("expected", "latest", "field"),
    ((-30, 10, "expected_at"), (5, 4, "expected_at"), (-3, -1, "latest_at"), (5, 200, "latest_at")),
)
def test_ends_that_make_no_sense_are_refused(running, member, expected, latest, field):
    now = factories.NOW
    with pytest.raises(Refused) as refusal:
        move_end(running.pk, now + expected * HOUR, now + latest * HOUR, by=member)
    assert refusal.value.field == field
    assert fresh(running).ends_at == running.ends_at


def test_what_does_not_end_by_itself_is_not_run(coop, household, member):
    booking = make.make_booking(make.make_thing(coop), household, start=factories.NOW - HOUR)
    with pytest.raises(Refused, match="move the booking instead"):
        moved(booking, member, 1)


def test_what_has_not_begun_or_is_back_is_not_running(running, following, member):
    with pytest.raises(TooLate):
        moved(following, following.by, 1)
    make.make_back(running, at=factories.NOW)
    with pytest.raises(TooLate):
        moved(running, member, 1)


def test_what_was_never_fetched_is_over_with_its_time(dryer, household, member, other_household):
    missed = make.make_booking(dryer, household, start=factories.NOW - 100 * HOUR, hours=40)
    now_out = make.make_booking(dryer, other_household, start=START, hours=40)
    make.make_out(now_out)
    with pytest.raises(TooLate):
        move_end(
            missed.pk,
            factories.NOW + HOUR,
            factories.NOW + 2 * HOUR,
            by=member,
            others_wait=True,
        )
    assert fresh(now_out).starts_at == START


def test_another_household_may_not(running, other_household_member):
    with pytest.raises(NotAllowed):
        moved(running, other_household_member, 1)


# ---- who comes next -------------------------------------------------------------------------
def test_the_next_in_line_is_moved_only_with_a_yes(running, following, member):
    with (
        pytest.raises(OthersMustWait, match="Dufresne would start") as refusal,
        transaction.atomic(),
    ):
        moved(running, member, 5)
    assert refusal.value.field == "others_wait"
    assert fresh(following).starts_at == following.starts_at
    assert fresh(running).ends_at == running.ends_at


def test_the_next_in_line_is_moved_by_no_more_than_it_must_and_told(running, following, member):
    moved(running, member, 5, others_wait=True)
    again = fresh(following)
    assert again.starts_at == following.starts_at + 5 * HOUR == fresh(running).free_at
    assert again.ends_at - again.starts_at == 40 * HOUR
    assert again.shifted_from == following.starts_at
    told = Told.objects.get()
    assert (told.household, told.what, told.booking) == (
        following.household,
        Told.What.SHIFTED,
        again,
    )


def test_a_whole_line_moves(running, following, member, coop):
    third = make.make_booking(
        running.thing, factories.make_household(coop), start=following.free_at, hours=20
    )
    far = make.make_booking(
        running.thing,
        factories.make_household(coop),
        start=third.free_at + 6 * HOUR,
        hours=20,
    )
    moved(running, member, 5, others_wait=True)
    assert fresh(third).starts_at == third.starts_at + 5 * HOUR
    assert fresh(far).starts_at == far.starts_at
    assert Told.objects.count() == 2


def test_moved_twice_before_an_answer_it_still_says_where_it_was_first(running, following, member):
    moved(running, member, 2, others_wait=True)
    moved(fresh(running), member, 2, others_wait=True)
    assert fresh(following).shifted_from == following.starts_at
    assert fresh(following).starts_at == following.starts_at + 4 * HOUR


def test_an_offer_in_the_way_is_let_go_and_its_place_kept(running, member, other_household):
    standby = make.make_standby(running.thing, other_household)
    offer = make.make_booking(
        running.thing,
        other_household,
        start=running.free_at,
        standby=standby,
        held_until=factories.NOW + HOUR,
    )
    with pytest.raises(OthersMustWait):
        moved(running, member, 2)
    moved(running, member, 2, others_wait=True)
    assert fresh(offer).cancelled_at
    standby.refresh_from_db()
    assert standby.ended_at is None


# ---- the answer -----------------------------------------------------------------------------
def test_it_suits(running, following, member, other_household_member):
    moved(running, member, 5, others_wait=True)
    answer_shift(following.pk, suits=True, by=other_household_member)
    assert fresh(following).shift_answered_at
    assert fresh(following).cancelled_at is None
    with pytest.raises(TooLate):
        answer_shift(following.pk, suits=False, by=other_household_member)


def test_it_does_not_suit_so_it_is_let_go_and_the_runner_told(
    running, following, member, other_household_member
):
    moved(running, member, 5, others_wait=True)
    answer_shift(following.pk, suits=False, by=other_household_member)
    assert fresh(following).cancelled_at
    told = Told.objects.get(what=Told.What.REFUSED)
    assert (told.household, told.booking) == (running.household, running)


def test_nobody_else_answers(running, following, member):
    moved(running, member, 5, others_wait=True)
    with pytest.raises(NotAllowed):
        answer_shift(following.pk, suits=False, by=member)


def test_nothing_to_answer(following, other_household_member):
    with pytest.raises(TooLate):
        answer_shift(following.pk, suits=True, by=other_household_member)


# ---- the pages ------------------------------------------------------------------------------
def address(name, booking):
    return reverse(f"equipment:{name}", args=[booking.coop.slug, booking.pk])


def local(moment):
    """As the field of a page wants it, in Denver, in August."""
    return (moment - 6 * HOUR).strftime("%Y-%m-%dT%H:%M")


@pytest.mark.sqlite  # about the page alone
def test_the_page_asks_for_a_yes_and_then_moves(as_member, running, following):
    ends = running.ends_at + 5 * HOUR
    typed = {"expected_at": local(ends - HOUR), "latest_at": local(ends)}
    page = as_member.get(address("run", running)).content.decode()
    assert "others_wait" not in page
    answer = as_member.post(address("run", running), typed)
    assert answer.status_code == 422
    said = text_of(answer)
    # Sat 15 Aug in Denver; the day is said once where it stays the same.
    assert "Dufresne would start" in said
    assert "(5 h later). Say yes, or choose an earlier end." in said
    assert "Not saved yet" not in said
    assert "field-wrong" not in answer.content.decode()
    assert local(ends) in answer.content.decode()
    answer = as_member.post(address("run", running), typed | {"others_wait": "on"})
    assert answer.status_code == 302
    assert fresh(following).starts_at == following.starts_at + 5 * HOUR


def test_who_was_moved_answers_on_a_page(
    as_other_household_member, as_member, running, following, member
):
    moved(running, member, 5, others_wait=True)
    page = text_of(as_other_household_member.get(address("answer_shift", following)))
    assert "Does the later time suit you?" in page
    assert "5 h later" in page
    assert "cancels your booking, and its time is offered to whoever is in line" in page
    (told,) = Told.objects.all()
    assert "(5 h later). Say whether" in told.sentence
    assert told.sentence.count(" to ") == 0
    assert as_member.post(address("answer_shift", following), {"suits": "no"}).status_code == 403
    answer = as_other_household_member.post(address("answer_shift", following), {"suits": "no"})
    assert answer.status_code == 302
    assert fresh(following).cancelled_at
    again = as_other_household_member.get(address("answer_shift", following))
    assert again.status_code == 409


@pytest.mark.sqlite  # about the page alone
def test_what_runs_has_one_way_to_say_that_it_takes_longer(as_member, running):
    page = text_of(as_member.get(address("booking", running)))
    assert "It takes longer, or is done sooner" in page
    assert "Keep it longer" not in page
