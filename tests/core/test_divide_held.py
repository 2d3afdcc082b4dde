"""Proportional shares where one ask dwarfs many, and Webster's own order would stray."""

from fractions import Fraction
from itertools import pairwise

import pytest
from apportionment.methods import compute
from hypothesis import given, settings
from hypothesis import strategies as st

from coop.core.division import Ask, Rule, divide

wanted_lists = st.lists(st.integers(1, 4), min_size=7, max_size=14).flatmap(
    lambda small: st.integers(10, 60).map(lambda large: [*small, large])
)


def webster(wanted, seats):
    return compute("webster", wanted, seats, fractions=True) if seats else [0] * len(wanted)


def furthest(shares, wanted, amount):
    """How far the furthest share is from its exact award."""
    exact = [Fraction(want * amount, sum(wanted)) for want in wanted]
    return max(abs(share - award) for share, award in zip(shares, exact, strict=True))


def test_websters_own_order_strays_where_one_dwarfs_many():
    wanted = [40] + [1] * 9
    assert webster(wanted, 30) == [21] + [1] * 9
    assert furthest(webster(wanted, 30), wanted, 30) > 3


@settings(max_examples=25)
@given(wanted=wanted_lists)
def test_it_is_held_within_two_steps_and_otherwise_left_as_it_is(wanted):
    asks = [Ask(want) for want in wanted]
    amounts = range(sum(wanted) + 1)
    ours = [divide(amount, asks, Rule.PROPORTIONAL).shares for amount in amounts]
    theirs = [webster(wanted, amount) for amount in amounts]
    strays = any(furthest(theirs[amount], wanted, amount) > 2 for amount in amounts)
    assert all(furthest(ours[amount], wanted, amount) <= 2 for amount in amounts)
    assert strays or [sorted(shares) for shares in ours] == [sorted(seats) for seats in theirs]


@settings(max_examples=25)
@given(wanted=wanted_lists)
def test_held_shares_keep_the_order_of_the_asks_and_take_no_step_back(wanted):
    wanted = sorted(wanted)
    asks = [Ask(want) for want in wanted]
    ours = [divide(amount, asks, Rule.PROPORTIONAL).shares for amount in range(sum(wanted))]
    for shares in ours:
        assert all(
            more >= less if larger > want else abs(more - less) <= 1
            for (want, less), (larger, more) in pairwise(zip(wanted, shares, strict=True))
        )
    for before, after in pairwise(ours):
        assert all(less <= more for less, more in zip(before, after, strict=True))


@pytest.mark.parametrize("amount", [1, 9_999, 20_017, 25_000, 30_000])
def test_many_steps_are_held_too(amount):
    wanted = [10_000] * 4 + [1] * 56
    division = divide(amount, [Ask(want) for want in wanted], Rule.PROPORTIONAL)
    assert division.left_over == 0
    assert furthest(division.shares, wanted, amount) <= 2
