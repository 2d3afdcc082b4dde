"""A round of squaring up is told to who pays, then to who gets it, and the till's treasurer."""

from datetime import timedelta

import pytest

from coop.buying.actions.reversals import reverse
from coop.buying.actions.squared import confirm_payment, square_up
from coop.money.actions.rounds import mark_paid, take_back_paid
from coop.money.actions.till import pay_in
from coop.money.notices.kinds import OWED, TO_CONFIRM, TO_PAY
from coop.notices.models import Matter
from coop.notices.sources import put_right
from coop.people.actions.households import Details, edit_household
from tests.web.buys_told import SIX_TODAY, dues, letters
from tests.web.factories import NOW
from tests.web.money.books import enter, households

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def ash(coop, treasurer):
    """Is owed $12 by Birch."""
    ash, birch = households(coop, "Ash", "Birch")
    enter(ash, birch, 1200, by=treasurer)
    return ash.members.get()


@pytest.fixture
def birch(ash):
    return ash.coop.households.get(name="Birch").members.get()


@pytest.fixture
def payment(ash, treasurer):
    """Birch is to pay Ash $12."""
    return square_up(ash.coop, by=treasurer).payments.get()


def test_who_has_to_pay_is_told_at_once_after_2_days_and_after_a_week(payment, birch, clock):
    said = (
        "Squaring up: pay Ash $12.00",
        "Pay Ash $12.00 and mark it as paid.",
    )
    for moment in (NOW, NOW + 2 * DAY, NOW + 7 * DAY):
        clock.move_to(moment)
        assert letters()[birch.user.email] == said
    assert Matter.objects.get(kind=TO_PAY.code).path.endswith(f"/rounds/{payment.square_up_id}/")


def test_who_is_to_be_paid_reads_so_in_the_daily_mail(payment, ash, clock):
    assert ash.user.email not in letters()
    clock.move_to(SIX_TODAY)
    assert letters() == {
        ash.user.email: (
            "Squaring up: you get $12.00 from Birch",
            "Expect $12.00 from Birch, and confirm it when it has arrived.",
        )
    }


def test_what_is_said_to_be_paid_is_to_be_confirmed_and_no_longer_paid(payment, ash, birch, clock):
    letters()
    clock.shift(DAY)
    mark_paid(payment, by=birch)
    assert letters()[ash.user.email] == (
        "Squaring up: $12.00 from Birch is marked as paid",
        "Confirm it once $12.00 from Birch has arrived.",
    )
    assert (dues(birch, TO_PAY.code), dues(ash, OWED.code)) == ([], [])


def test_a_mark_taken_back_leaves_it_to_be_paid(payment, ash, birch, clock):
    letters()
    clock.shift(2 * DAY)
    letters()
    clock.shift(DAY)
    mark_paid(payment, by=birch)
    take_back_paid(payment, by=birch)
    assert dues(birch, TO_PAY.code) == [NOW, NOW + 2 * DAY, NOW + 7 * DAY]
    assert dues(ash, TO_CONFIRM.code) == []
    assert birch.user.email not in letters()


def test_a_mark_taken_back_at_once_is_no_second_letter(payment, birch):
    letters()
    mark_paid(payment, by=birch)
    take_back_paid(payment, by=birch)
    assert birch.user.email not in letters()


def test_what_is_confirmed_is_told_no_more(payment, ash, birch):
    mark_paid(payment, by=birch)
    confirm_payment(payment, by=ash)
    assert not Matter.objects.filter(dropped_at=None).exists()


def test_what_the_till_has_to_pay_is_told_to_the_treasurer(coop, treasurer):
    (elm,) = households(coop, "Elm")
    enter(elm, coop, 500, by=treasurer)
    square_up(coop, by=treasurer)
    assert letters()[treasurer.user.email] == (
        "Squaring up: pay Elm $5.00 from the till",
        "Pay Elm $5.00 from the till and mark it as paid.",
    )


def test_what_is_paid_to_the_till_is_confirmed_by_the_treasurer(coop, treasurer):
    (fir,) = households(coop, "Fir")
    enter(coop, fir, 500, by=treasurer)
    payment = square_up(coop, by=treasurer).payments.get()
    mark_paid(payment, by=fir.members.get())
    assert letters() == {
        treasurer.user.email: (
            "Squaring up: $5.00 from Fir to the till is marked as paid",
            "Confirm it once $5.00 from Fir has arrived.",
        )
    }


def test_a_newer_round_takes_the_place_of_what_was_told(payment, ash, birch, treasurer, clock):
    letters()
    clock.shift(DAY)
    enter(ash.household, birch.household, 300, by=treasurer)
    square_up(ash.coop, by=treasurer)
    assert letters()[birch.user.email][0] == "Squaring up: pay Ash $15.00"
    assert dues(birch, TO_PAY.code) == [NOW + DAY, NOW + 3 * DAY, NOW + 8 * DAY]


def test_once_money_has_moved_nobody_is_asked_for_what_was_right_before(
    payment, ash, birch, treasurer
):
    entry = pay_in(birch.household, 700, by=treasurer)
    assert dues(birch, TO_PAY.code) == []
    reverse(entry, why="It was Ash's.", by=treasurer)
    assert dues(birch, TO_PAY.code) == [NOW, NOW + 2 * DAY, NOW + 7 * DAY]


def test_the_payments_of_others_stand_while_one_is_confirmed(coop, treasurer, clock):
    elm, fir, oak = households(coop, "Elm", "Fir", "Oak")
    enter(elm, fir, 500, by=treasurer)
    enter(elm, oak, 700, by=treasurer)
    first, second = square_up(coop, by=treasurer).payments.order_by("payer__name")
    told = Matter.objects.get(key__endswith=f"pay/{second.pk}")
    clock.shift(DAY)
    mark_paid(first, by=first.payer.household.members.get())
    confirm_payment(first, by=elm.members.get())
    told.refresh_from_db()
    assert (told.dropped_at, told.sequence) == (None, 0)


def test_a_household_that_changes_its_name_is_paid_under_the_new_one(payment, ash, birch):
    edit_household(ash.household_id, Details("Ashby"), by=ash)
    assert Matter.objects.get(kind=TO_PAY.code).title == "Squaring up: pay Ashby $12.00"
    assert put_right(ash.coop) == {}


def test_who_has_nothing_to_pay_or_to_get_is_told_nothing(payment, treasurer, member):
    letters()
    assert dues(treasurer, TO_PAY.code) + dues(member, OWED.code) == []
