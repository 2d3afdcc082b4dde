"""The laws of exact awards, on problems that Hypothesis makes up.

Published in W. Thomson, "How to Divide When There Isn't Enough" (Cambridge University Press, 2019),
and R. J. Aumann and M. Maschler, Journal of Economic Theory 36 (1985) 195-213.
"""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from coop.core.division import Rule, awards
from tests.core.asks_to_divide import claims_problems, rules
from tests.core.slow_division import slow_awards

problems = claims_problems()
NEAR = Fraction(1, 10**9)


def minus(claims, losses):
    return [claim - loss for claim, loss in zip(claims, losses, strict=True)]


@given(problem=problems, rule=rules)
def test_awards_add_up_and_none_is_above_its_claim(problem, rule):
    amount, claims = problem
    got = awards(amount, claims, rule)
    assert sum(got) == amount
    assert all(0 <= award <= claim for award, claim in zip(got, claims, strict=True))


@given(problem=problems, rule=rules)
def test_equal_claims_get_equal_awards_and_larger_ones_no_less(problem, rule):
    amount, claims = problem
    got = sorted(zip(claims, awards(amount, claims, rule), strict=True))
    for (claim, award), (larger, its_award) in pairwise(got):
        assert award <= its_award
        assert claim < larger or award == its_award


@given(problem=problems, rule=rules)
def test_awards_follow_the_definition(problem, rule):
    amount, claims = problem
    expected = slow_awards(amount, claims, rule)
    for award, nearly in zip(awards(amount, claims, rule), expected, strict=True):
        assert abs(award - nearly) < NEAR


@given(problem=problems)
def test_even_losses_are_even_awards_of_what_is_lacking(problem):
    amount, claims = problem
    lacking = awards(sum(claims) - amount, claims, Rule.EVEN)
    assert awards(amount, claims, Rule.EVEN_LOSS) == minus(claims, lacking)


@given(problem=problems, rule=st.sampled_from([Rule.CONCEDE, Rule.PROPORTIONAL]))
def test_dividing_what_is_lacking_comes_to_the_same(problem, rule):
    amount, claims = problem
    lacking = awards(sum(claims) - amount, claims, rule)
    assert awards(amount, claims, rule) == minus(claims, lacking)


@given(problem=claims_problems(smallest=2))
def test_every_two_divide_what_they_got_as_a_contested_garment(problem):
    amount, claims = problem
    got = awards(amount, claims, Rule.CONCEDE)
    one, other = claims[:2]
    both = got[0] + got[1]
    conceded = max(both - other, 0), max(both - one, 0)
    assert got[0] == conceded[0] + (both - sum(conceded)) / 2


@given(problem=problems, rule=rules, more=st.fractions(0, 1, max_denominator=20))
def test_more_to_divide_never_gives_anyone_less(problem, rule, more):
    amount, claims = problem
    larger = amount + (sum(claims) - amount) * more
    pairs = zip(awards(amount, claims, rule), awards(larger, claims, rule), strict=True)
    assert all(before <= after for before, after in pairs)


@given(problem=claims_problems(smallest=2), rule=rules)
def test_a_group_of_claimants_divides_its_own_awards_again_in_the_same_way(problem, rule):
    amount, claims = problem
    got = awards(amount, claims, rule)
    assert awards(sum(got[:-1]), claims[:-1], rule) == got[:-1]


@given(problem=problems)
def test_no_other_awards_have_a_lower_highest_one_than_the_even_ones(problem):
    highest = highest_of_a_linear_programme(*problem)
    assert float(max(awards(*problem, Rule.EVEN))) == pytest.approx(highest, abs=1e-7)


@given(problem=problems)
def test_no_other_awards_have_a_lower_highest_loss_than_the_even_losses(problem):
    amount, claims = problem
    losses = minus(claims, awards(amount, claims, Rule.EVEN_LOSS))
    highest = highest_of_a_linear_programme(sum(claims) - amount, claims)
    assert float(max(losses)) == pytest.approx(highest, abs=1e-7)


def highest_of_a_linear_programme(amount, claims) -> float:
    """By HiGHS: parts up to the claims that add up to `amount`, the highest as low as can be."""
    count = len(claims)
    below_highest = [[float(i == j) for j in range(count)] + [-1.0] for i in range(count)]
    answer = linprog(
        [0.0] * count + [1.0],
        A_ub=below_highest,
        b_ub=[0.0] * count,
        A_eq=[[1.0] * count + [0.0]],
        b_eq=[float(amount)],
        bounds=[(0.0, float(claim)) for claim in claims] + [(0.0, None)],
        method="highs",
    )
    return answer.fun
