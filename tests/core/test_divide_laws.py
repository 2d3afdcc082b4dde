"""The laws of dividing in whole steps, each on problems that Hypothesis makes up."""

from fractions import Fraction
from itertools import pairwise

from hypothesis import example, given, settings
from hypothesis import strategies as st

from coop.core.division import Ask, Rule, awards, divide
from tests.core.asks_to_divide import (
    bounded_ask,
    bounded_problems,
    plain_asks,
    published_rules,
    rules,
)
from tests.core.slow_division import broken_laws

steps = st.sampled_from([1, 1, 5, 350])
parts = st.fractions(0, 1, max_denominator=40)
DWARFED = [Ask(40)] + [Ask(1)] * 9  # where Webster's method strays furthest


def in_steps_of(step, asks):
    return [Ask(ask.wanted * step, step=step) for ask in asks]


@given(problem=bounded_problems(most=7, spare=60), rule=rules)
def test_shares_add_up_keep_every_bound_and_leave_nothing_that_one_could_take(problem, rule):
    amount, asks, tie_order = problem
    division = divide(amount, asks, rule, tie_order)
    assert list(broken_laws(amount, asks, division.shares, division.left_over)) == []
    assert division.exact


@given(asks=plain_asks(), part=parts, rule=published_rules, step=steps, odd=st.integers(0, 400))
@example(DWARFED, Fraction(30, 49), Rule.PROPORTIONAL, 1, 0)
@example(DWARFED, Fraction(30, 49), Rule.PROPORTIONAL, 5, 4)
def test_shares_are_within_a_step_of_the_award_two_if_proportional(asks, part, rule, step, odd):
    asks = in_steps_of(step, asks)
    wanted = [Fraction(ask.wanted) for ask in asks]
    amount = min(int(part * sum(wanted)) + odd % step, int(sum(wanted)))
    allowed = 2 * step if rule == Rule.PROPORTIONAL else step
    exact = awards(Fraction(amount), wanted, rule)
    pairs = zip(divide(amount, asks, rule).shares, exact, strict=True)
    assert all(abs(share - award) <= allowed for share, award in pairs)


@given(asks=plain_asks(largest=12), part=parts, rule=rules, step=steps)
def test_a_larger_ask_never_gets_less_and_equal_ones_differ_by_a_step_at_most(
    asks, part, rule, step
):
    asks = in_steps_of(step, asks)
    amount = int(part * sum(ask.wanted for ask in asks))
    wanted = [ask.wanted for ask in asks]
    got = sorted(zip(wanted, divide(amount, asks, rule).shares, strict=True))
    for (smaller, share), (larger, its_share) in pairwise(got):
        assert share <= its_share if smaller < larger else abs(share - its_share) <= step


@given(
    asks=st.lists(bounded_ask(largest=20, steps=(1,), gaps=False), min_size=1, max_size=6),
    rule=rules,
    step=steps,
)
def test_more_produce_never_gives_anyone_less_where_every_step_is_equal(asks, rule, step):
    asks = [
        Ask(
            ask.wanted * step,
            at_least=ask.at_least * step,
            at_most=ask.limit * step,
            step=step,
            past_asked=ask.past_asked,
            past_received=ask.past_received,
        )
        for ask in asks
    ]
    first = sum(ask.promised for ask in asks)
    growing = [divide(first + more * step, asks, rule).shares for more in range(60)]
    for before, after in pairwise(growing):
        assert all(less <= more for less, more in zip(before, after, strict=True))


@settings(max_examples=25)
@given(asks=plain_asks(largest=60), rule=st.sampled_from([Rule.PROPORTIONAL, Rule.SEASON]))
@example(DWARFED, Rule.PROPORTIONAL)
def test_more_produce_never_gives_anyone_less_where_one_dwarfs_the_others(asks, rule):
    asks = [*asks, Ask(99)]
    growing = [divide(amount, asks, rule).shares for amount in range(120)]
    for before, after in pairwise(growing):
        assert all(less <= more for less, more in zip(before, after, strict=True))


@given(problem=bounded_problems(most=5), rule=rules)
def test_the_same_input_gives_the_same_output(problem, rule):
    assert divide(*problem[:2], rule, problem[2]) == divide(*problem[:2], rule, problem[2])


@given(problem=bounded_problems(most=6, spare=40), rule=rules, chance=st.randoms())
def test_it_does_not_matter_in_which_order_asks_are_listed(problem, rule, chance):
    amount, asks, tie_order = problem
    moved = list(range(len(asks)))
    chance.shuffle(moved)  # the ask at moved[k] is listed k-th now
    new_asks = [asks[position] for position in moved]
    new_order = [moved.index(position) for position in tie_order]
    before = divide(amount, asks, rule, tie_order).shares
    assert divide(amount, new_asks, rule, new_order).shares == [before[k] for k in moved]


@given(problem=bounded_problems(most=5), rule=rules, times=st.integers(2, 7))
def test_counting_in_a_smaller_unit_changes_nothing(problem, rule, times):
    amount, asks, tie_order = problem
    finer = [
        Ask(
            ask.wanted * times,
            at_least=ask.lowest * times,
            at_most=ask.limit * times,
            step=ask.step * times,
            or_none=ask.or_none,
            past_asked=ask.past_asked * times,
            past_received=ask.past_received * times,
        )
        for ask in asks
    ]
    before = divide(amount, asks, rule, tie_order).shares
    assert divide(amount * times, finer, rule, tie_order).shares == [
        share * times for share in before
    ]


@given(asks=plain_asks(with_past=True), part=parts)
def test_the_season_award_leaves_nobody_behind_who_could_be_lifted(asks, part):
    amount = int(part * sum(ask.wanted for ask in asks))
    award = divide(amount, asks, Rule.SEASON).award
    standing = [
        (ask, got, (ask.past_received + got) / (ask.past_asked + ask.wanted))
        for ask, got in zip(asks, award, strict=True)
        if ask.wanted
    ]
    full_to = min((fill for ask, got, fill in standing if got < ask.wanted), default=None)
    assert sum(award) == amount
    assert all(fill <= full_to for _, got, fill in standing if got and full_to is not None)
