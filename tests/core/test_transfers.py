"""Squaring up: examples with an optimum that has been published or can be seen by eye."""

import pytest

from coop.core.transfers import Unbalanced, fewest_transfers
from tests.core.slow_transfers import check_transfers

Loan = tuple[int, int, int]  # giver, taker, amount


def balances_of(loans: tuple[Loan, ...]) -> dict[str, int]:
    balances: dict[str, int] = {}
    for giver, taker, amount in loans:
        balances[str(giver)] = balances.get(str(giver), 0) + amount
        balances[str(taker)] = balances.get(str(taker), 0) - amount
    return balances


@pytest.mark.parametrize(
    ("loans", "fewest"),
    [
        # A well-known programming exercise, "Optimal Account Balancing", examples 1 and 2, and a
        # case from its discussion, where a claimed 3 is refuted.
        (((0, 1, 10), (2, 0, 5)), 2),
        (((0, 1, 10), (1, 0, 1), (1, 2, 5), (2, 0, 5)), 1),
        (((0, 1, 5), (2, 3, 1), (2, 0, 1), (4, 0, 2)), 4),
    ],
)
def test_loans_are_settled_with_the_published_number_of_payments(
    loans: tuple[Loan, ...], fewest: int
) -> None:
    balances = balances_of(loans)
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    assert (len(found.payments), found.proven_fewest) == (fewest, True)


def test_one_who_fronted_everything_is_paid_by_each() -> None:
    found = fewest_transfers({"Ash": 6000, "Birch": -1500, "Cedar": -4500})
    assert found.payments == [("Birch", "Ash", 1500), ("Cedar", "Ash", 4500)]
    assert found.proven_fewest


def test_paying_the_largest_first_can_need_more_payments_than_there_must_be() -> None:
    # Largest to largest: F and D pay A 6 and 3, D and E pay B 2 and 4, G pays C 3: five payments.
    # In the groups {A, D, E}, {B, F}, {C, G}: four.
    balances = {"A": 9, "B": 6, "C": 3, "D": -5, "E": -4, "F": -6, "G": -3}
    assert len(fewest_transfers(balances).payments) == 4


def test_nobody_owes_anything_and_nobody_pays() -> None:
    assert fewest_transfers({}).payments == []
    assert fewest_transfers({"Ash": 0, "Birch": 0}) == fewest_transfers({})
    assert fewest_transfers({}).proven_fewest


def test_the_order_of_the_households_changes_nothing() -> None:
    balances = {"Ash": 30, "Birch": 30, "Cedar": -20, "Dogwood": -40, "Elm": 25, "Fir": -25}
    backwards = dict(reversed(balances.items()))
    assert fewest_transfers(balances) == fewest_transfers(backwards)


@pytest.mark.parametrize(
    ("balances", "off_by", "sentence"),
    [
        ({"Ash": 700, "Birch": -650}, 50, "50 cents more owed than owing"),
        ({"Ash": 700, "Birch": -701}, -1, "1 cent more owing than owed"),
    ],
)
def test_balances_that_do_not_add_up_are_refused_by_how_much(
    balances: dict[str, int], off_by: int, sentence: str
) -> None:
    with pytest.raises(Unbalanced, match=sentence) as refused:
        fewest_transfers(balances)
    assert refused.value.off_by_cents == off_by


def test_a_balance_with_a_fraction_of_a_cent_is_named() -> None:
    with pytest.raises(ValueError, match=r"Balance of Birch: -0\.5 is not in whole cents"):
        fewest_transfers({"Ash": 1, "Birch": -0.5, "Cedar": -0.5})  # type: ignore[dict-item]


def test_balances_past_64_bits_are_still_exact() -> None:
    huge = 10**30
    balances = {"A": 3 * huge, "B": -huge, "C": -2 * huge - 1, "D": 5, "E": -4}
    found = fewest_transfers(balances)
    check_transfers(balances, found)
    assert len(found.payments) == 4
