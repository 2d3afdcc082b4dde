"""Two people write on loans at the same moment, over connections of their own."""

import pytest

from coop.jars.actions.loans import Proposal, agree, ask_for_jars, end_loan
from coop.jars.actions.moves import Told, hand_over, take_back
from coop.jars.models import JarMove, Loan
from coop.jars.queries.stock import stock_of
from coop.people.actions.households import end_household
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.at_once import at_once

QUARTS = "quart_wide"
many_times = pytest.mark.parametrize("attempt", range(2))


@pytest.fixture
def lenders(transactional_db):
    """Two members of a household that can spare 24 quarts."""
    household = factories.make_household(factories.make_coop(), "Dufresne")
    rows.make_count(household, {QUARTS: (0, 30, 24)})
    return [factories.make_member(household) for _ in range(2)]


@pytest.fixture
def borrowers(lenders):
    """A member each of two other households."""
    coop = lenders[0].coop
    return [factories.make_member(factories.make_household(coop)) for _ in range(2)]


def in_all(what):
    return sum(JarMove.objects.filter(what=what).values_list("count", flat=True))


@many_times
def test_the_same_jars_are_promised_to_one_of_two(lenders, borrowers, attempt):
    lender = lenders[0].household
    loans = [rows.make_loan(lender, each.household, {QUARTS: 18}) for each in borrowers]
    results = at_once(
        lambda: agree(loans[0].pk, by=lenders[0]), lambda: agree(loans[1].pk, by=lenders[1])
    )
    assert results == ["NotSpare", "done"]
    assert Loan.objects.filter(agreed_at__isnull=False).count() == 1
    assert stock_of(lender).kinds[QUARTS].spare == 6


@many_times
def test_what_is_enough_for_both_is_promised_to_both(lenders, borrowers, attempt):
    lender = lenders[0].household
    loans = [rows.make_loan(lender, each.household, {QUARTS: 12}) for each in borrowers]
    results = at_once(
        lambda: agree(loans[0].pk, by=lenders[0]), lambda: agree(loans[1].pk, by=lenders[1])
    )
    assert results == ["done", "done"]
    assert stock_of(lender).kinds[QUARTS].spare == 0


@many_times
def test_one_ask_is_agreed_to_once(lenders, borrowers, attempt):
    loan = rows.make_loan(lenders[0].household, borrowers[0].household, {QUARTS: 12})
    results = at_once(*(lambda by=each: agree(loan.pk, by=by) for each in lenders))
    assert results == ["TooLate", "done"]


@many_times
def test_a_yes_and_a_no_at_once_leave_one_of_them(lenders, borrowers, attempt):
    loan = rows.make_loan(lenders[0].household, borrowers[0].household, {QUARTS: 12})
    results = at_once(
        lambda: agree(loan.pk, by=lenders[0]), lambda: end_loan(loan.pk, by=borrowers[0])
    )
    # A yes and then a no is a loan called off; a no is not followed by a yes.
    assert results in (["TooLate", "done"], ["done", "done"])
    loan.refresh_from_db()
    assert loan.ended_at is not None


@many_times
def test_the_same_jars_go_out_once(lenders, borrowers, attempt):
    loan = rows.make_loan(lenders[0].household, borrowers[0].household, {QUARTS: 12}, agreed=True)
    told = Told({QUARTS: 12})
    results = at_once(
        lambda: hand_over(loan.pk, told, by=lenders[0]),
        lambda: hand_over(loan.pk, told, by=borrowers[0]),
    )
    assert results == ["TooLate", "done"]
    assert in_all("handed_over") == 12


@many_times
def test_the_same_jars_come_back_once(lenders, borrowers, attempt):
    loan = rows.make_loan(
        lenders[0].household, borrowers[0].household, {QUARTS: 12}, handed_over=True
    )
    told = Told({QUARTS: 12})
    results = at_once(*(lambda by=each: take_back(loan.pk, told, by=by) for each in lenders))
    assert results == ["TooLate", "done"]
    assert in_all("returned") == 12


@many_times
def test_two_who_saw_the_same_page_write_a_part_once(lenders, borrowers, attempt):
    loan = rows.make_loan(
        lenders[0].household, borrowers[0].household, {QUARTS: 12}, handed_over=True
    )
    told = Told({QUARTS: 5}, seen=JarMove.objects.latest("pk").pk)
    results = at_once(*(lambda by=each: take_back(loan.pk, told, by=by) for each in lenders))
    assert results == ["TooLate", "done"]
    assert in_all("returned") == 5


@many_times
def test_an_ask_sent_twice_is_one(lenders, borrowers, attempt):
    wish = Proposal({QUARTS: 5}, factories.NOW.date())
    lender, by = lenders[0].household, borrowers[0]
    asks = [lambda: ask_for_jars(lender, by.household, wish, by=by)] * 2
    assert at_once(*asks) == ["done", "done"]
    assert Loan.objects.count() == 1


@many_times
def test_nobody_leaves_with_jars_promised_at_that_moment(lenders, borrowers, attempt):
    coop = lenders[0].coop
    factories.make_member(factories.make_household(coop), roles=["coordinator"])
    loan = rows.make_loan(lenders[0].household, borrowers[0].household, {QUARTS: 12})
    results = at_once(
        lambda: agree(loan.pk, by=lenders[0]),
        lambda: end_household(borrowers[0].household_id, by=borrowers[0]),
    )
    assert results in (["StillOpen", "done"], ["TooLate", "done"])
    loan.refresh_from_db()
    borrowers[0].household.refresh_from_db()
    assert (loan.agreed_at is None) == (borrowers[0].household.left_at is not None)
