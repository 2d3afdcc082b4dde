"""Who gets the odd step, and how the season is levelled. Sums by hand."""

import pytest

from coop.core.division import Ask, Rule, divide

RULES = list(Rule)
BEHIND = Ask(10, past_asked=20, past_received=5)
AHEAD = Ask(10, past_asked=20, past_received=15)


@pytest.mark.parametrize("rule", RULES)
def test_the_odd_step_goes_to_the_lowest_fill_of_the_season(rule):
    asks = [AHEAD, BEHIND]
    assert divide(1, asks, rule).shares == [0, 1]
    assert divide(1, asks, rule, [0, 1]).shares == [0, 1]


@pytest.mark.parametrize("rule", RULES)
def test_with_one_fill_the_odd_step_goes_by_the_tie_order(rule):
    asks = [Ask(10), Ask(10), Ask(10)]
    assert divide(4, asks, rule).shares == [2, 1, 1]
    assert divide(4, asks, rule, [2, 0, 1]).shares == [1, 1, 2]


@pytest.mark.parametrize("rule", [Rule.PROPORTIONAL, Rule.EVEN, Rule.EVEN_LOSS, Rule.CONCEDE])
def test_who_never_asked_before_is_not_behind(rule):
    assert divide(1, [Ask(10), AHEAD], rule).shares == [0, 1]


@pytest.mark.parametrize("rule", [Rule.EVEN, Rule.CONCEDE])
def test_the_odd_step_of_even_shares_goes_to_the_larger_ask_first(rule):
    assert divide(1, [Ask(10, past_asked=9), Ask(12)], rule).shares == [0, 1]


def test_the_household_furthest_behind_is_filled_first():
    # 5 of 20 and 15 of 20 so far: with 10 more, 15 of 30 and 15 of 30
    division = divide(10, [BEHIND, AHEAD], Rule.SEASON)
    assert division.shares == [10, 0]
    assert division.award == [10, 0]


def test_the_season_is_levelled_as_far_as_the_tally_goes():
    # one fill f for both: 40 f - 5 and 30 f - 15 make 22, so f is 3/5, and they get 19 and 3
    asks = [Ask(20, past_asked=20, past_received=5), AHEAD]
    division = divide(22, asks, Rule.SEASON)
    assert division.award == [19, 3]
    assert division.shares == [19, 3]


def test_who_got_more_than_it_asked_waits_for_the_others():
    asks = [Ask(10, past_asked=10, past_received=25), Ask(10, past_asked=10)]
    assert divide(12, asks, Rule.SEASON).shares == [2, 10]


def test_equal_whole_containers_go_to_the_first_in_line():
    asks = [Ask(350, step=350), Ask(350, step=350), Ask(350, step=350)]
    assert divide(700, asks, Rule.EVEN, [2, 0, 1]).shares == [350, 0, 350]
