"""Dividing in whole steps: bounds, steps, all or nothing, and what is refused. Sums by hand."""

from fractions import Fraction

import pytest

from coop.core.division import Ask, CannotCover, Rule, divide

RULES = list(Rule)


def shares(amount, asks, rule=Rule.EVEN, tie_order=None):
    return divide(amount, asks, rule, tie_order).shares


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        (Rule.PROPORTIONAL, [25, 50, 75]),  # 150 of 240 is five eighths
        (Rule.EVEN, [40, 55, 55]),
        (Rule.EVEN_LOSS, [10, 50, 90]),  # each lacks 30
        (Rule.CONCEDE, [20, 45, 85]),  # halves 20, 40, 60; then the two largest lack 35 each
        (Rule.SEASON, [25, 50, 75]),
    ],
)
def test_a_short_tally_follows_the_rule(rule, expected):
    division = divide(150, [Ask(40), Ask(80), Ask(120)], rule)
    assert division.shares == expected
    assert division.award == [Fraction(share) for share in expected]
    assert division.short == [40 - expected[0], 80 - expected[1], 120 - expected[2]]


@pytest.mark.parametrize("rule", RULES)
def test_who_needs_something_at_least_gets_that_before_the_rule(rule):
    assert shares(10, [Ask(10, at_least=8), Ask(10), Ask(10)], rule) == [8, 1, 1]


@pytest.mark.parametrize("rule", RULES)
def test_a_surplus_goes_only_to_those_who_would_take_it(rule):
    division = divide(20, [Ask(5), Ask(5, at_most=9), Ask(3, at_most=4)], rule)
    assert division.shares == [5, 9, 4]
    assert division.left_over == 2


@pytest.mark.parametrize("rule", RULES)
def test_nobody_helps_with_a_surplus_before_everyone_has_what_it_wanted(rule):
    assert shares(10, [Ask(4, at_most=40), Ask(6)], rule) == [4, 6]


@pytest.mark.parametrize("rule", RULES)
def test_one_who_takes_less_than_it_wants_leaves_the_rest_to_others(rule):
    assert shares(14, [Ask(10, at_most=4), Ask(10)], rule) == [4, 10]


def test_whole_containers_go_out_whole_and_loose_pounds_make_up_the_rest():
    asks = [Ask(700, step=350), Ask(500), Ask(500)]
    assert shares(1000, asks) == [350, 325, 325]


def test_as_little_as_can_be_is_left_over_even_against_the_rule():
    # evenly it would be 300 each, but only 700 and 500 use up 1200
    asks = [Ask(700, step=350), Ask(500, step=500), Ask(500, step=500)]
    division = divide(1200, asks, Rule.EVEN)
    assert division.shares == [700, 500, 0]
    assert division.left_over == 0


def test_what_no_step_can_use_is_left_over():
    division = divide(1000, [Ask(700, step=350), Ask(700, step=350)], Rule.EVEN)
    assert sorted(division.shares) == [350, 350]
    assert division.left_over == 300


def test_bounds_are_rounded_to_steps_inside_them():
    assert shares(100, [Ask(9, at_least=1, step=4), Ask(50)], Rule.EVEN_LOSS)[0] == 8
    assert shares(10, [Ask(20, at_least=5, step=4), Ask(50)], Rule.EVEN_LOSS) == [8, 2]


def test_all_or_nothing_gets_all_or_nothing():
    asks = [Ask(60, at_least=60, or_none=True), Ask(50)]
    assert shares(100, asks) == [60, 40]
    assert shares(55, asks) == [0, 50]


def test_of_two_that_cannot_both_have_all_one_gets_all():
    asks = [Ask(60, at_least=60, or_none=True), Ask(60, at_least=60, or_none=True)]
    assert shares(60, asks) == [60, 0]
    assert shares(60, asks, tie_order=[1, 0]) == [0, 60]


def test_an_ask_that_may_get_nothing_does_not_count_as_promised():
    asks = [Ask(8, at_least=8, or_none=True), Ask(5, at_least=5)]
    assert shares(6, asks) == [0, 5]


def test_a_tally_below_what_is_promised_says_by_how_much():
    asks = [Ask(10, at_least=7), Ask(9, at_least=3, step=4), Ask(5, at_least=5, or_none=True)]
    with pytest.raises(CannotCover, match="2 short of everyone's minimum") as refused:
        divide(9, asks, Rule.EVEN)
    assert refused.value.short_by == 2  # 7 and 4


def test_nobody_gets_nothing_and_all_is_left_over():
    division = divide(7, [], Rule.EVEN)
    assert (division.shares, division.left_over) == ([], 7)


@pytest.mark.parametrize("rule", RULES)
def test_an_ask_for_nothing_gets_nothing_and_helps_with_a_surplus_if_it_would(rule):
    assert shares(5, [Ask(0), Ask(3), Ask(0, at_most=9)], rule) == [0, 3, 2]


@pytest.mark.parametrize(
    ("ask", "problem"),
    [
        (Ask(9, at_least=4, at_most=2), "at least 4 is above at most 2"),
        (Ask(3, at_least=4), "at least 4 is above at most 3"),
        (Ask(-1), "wanted -1 is below zero"),
        (Ask(2.5), "wanted 2.5 is not a whole number"),
        (Ask(2, step=0), "step 0 is not above zero"),
        (Ask(2, past_received=-3), "past received -3 is below zero"),
        (
            Ask(7, at_least=5, step=4),
            "no whole number of steps of 4 lies between at least 5 and at most 7",
        ),
    ],
)
def test_an_ask_that_cannot_be_is_named_with_its_number(ask, problem):
    with pytest.raises(ValueError, match=f"^Ask 3: {problem}$"):
        divide(10, [Ask(1), Ask(2), ask], Rule.EVEN)


@pytest.mark.parametrize(
    ("amount", "tie_order", "problem"),
    [
        (-1, None, "The amount -1 is below zero"),
        (1.5, None, "The amount 1.5 is not a whole number"),
        (1, [0], "does not have each position from 0 to 1 once"),
        (1, [1, 1], "does not have each position from 0 to 1 once"),
    ],
)
def test_an_amount_or_a_tie_order_that_is_none_is_refused(amount, tie_order, problem):
    with pytest.raises(ValueError, match=problem):
        divide(amount, [Ask(1), Ask(2)], Rule.EVEN, tie_order)
