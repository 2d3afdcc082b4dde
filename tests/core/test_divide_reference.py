"""Dividing, against trying everything, CP-SAT, and a general apportionment package."""

import pytest
from apportionment.methods import compute
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from coop.core.division import Ask, Rule, divide
from tests.core.asks_to_divide import bounded_problems, rules
from tests.core.slow_division import choices, slow_divide

SQUARES = st.sampled_from([Rule.EVEN, Rule.EVEN_LOSS])
votes = st.lists(st.integers(1, 60), min_size=1, max_size=20)


@given(problem=bounded_problems(), rule=rules)
def test_no_other_division_is_better(problem, rule):
    amount, asks, tie_order = problem
    assert divide(amount, asks, rule, tie_order).shares == slow_divide(
        amount, asks, rule, tie_order
    )


@settings(max_examples=40)
@given(problem=bounded_problems(most=8, spare=300, largest=120, steps=(1, 7, 12, 35)), rule=SQUARES)
def test_an_independent_solver_leaves_as_much_over_and_comes_as_close(problem, rule):
    amount, asks, _ = problem
    division = divide(amount, asks, rule)
    least, closest = solved(amount, asks, rule)
    assert division.left_over == least
    assert cost(division.shares, asks, rule) == closest


def cost(shares, asks, rule) -> int:
    """A unit past what is wanted weighs more than all squares together."""
    pairs = list(zip(shares, asks, strict=True))
    past_wanted = sum(max(share - ask.wanted, 0) for share, ask in pairs)
    level = [ask.wanted if rule == Rule.EVEN_LOSS else 0 for ask in asks]
    return 10**6 * past_wanted + sum(
        (share - target) ** 2 for share, target in zip(shares, level, strict=True)
    )


def solved(amount, asks, rule) -> tuple[int, int]:
    """The least left over and then the lowest cost, by CP-SAT, one yes or no for each share."""
    model = cp_model.CpModel()
    given_out, costs = [], []
    for ask in asks:
        chosen = {share: model.new_bool_var("") for share in choices(ask)}
        model.add_exactly_one(chosen.values())
        given_out += [share * chooses for share, chooses in chosen.items()]
        costs += [cost([share], [ask], rule) * chooses for share, chooses in chosen.items()]
    model.add(sum(given_out) <= amount)
    model.maximize(sum(given_out))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    most = round(solver.objective_value)
    model.add(sum(given_out) == most)
    model.minimize(sum(costs))
    assert solver.solve(model) == cp_model.OPTIMAL
    return amount - most, sum(solver.value(part) for part in costs)


@given(wanted=votes, part=st.fractions(0, 1, max_denominator=50))
def test_proportional_shares_are_the_seats_of_websters_method(wanted, part):
    # Then Webster's method keeps within two steps of the exact award, and we leave it as it is.
    assume(max(wanted) * (len(wanted) - 2) <= 3 * sum(wanted))
    seats = max(int(part * sum(wanted)), 1)
    expected = compute("webster", wanted, seats, fractions=True)
    shares = divide(seats, [Ask(votes) for votes in wanted], Rule.PROPORTIONAL).shares
    assert sorted(shares) == sorted(expected)  # of equal quotients either may come first


@pytest.mark.parametrize(
    ("seats", "populations", "expected"),
    [
        # "Berechnungsbeispiele", a German public-law study site: Sainte-Lague
        (10, (6100, 5000, 900), [5, 4, 1]),
        # computed by definition, and so by the PyPI package apportionment: the quotients next in
        # turn are 465.5, 464.6, then 463.0, 462.5 (the populations are those of a README whose
        # printed Webster figures are wrong)
        (43, (21878, 9713, 4167, 3252, 1065), [24, 10, 4, 4, 1]),
    ],
)
def test_small_printed_examples_of_websters_method_come_out(seats, populations, expected):
    asks = [Ask(population) for population in populations]
    assert divide(seats, asks, Rule.PROPORTIONAL).shares == expected


# ClaimsProblems and Mishna claims, in steps: where every exact award is whole, so are the shares.
@pytest.mark.parametrize(
    ("amount", "claims", "rule", "expected"),
    [
        # R. J. Aumann and M. Maschler (1985), the table of Ketubot 93a
        (200, (100, 200, 300), Rule.CONCEDE, [50, 75, 75]),
        (300, (100, 200, 300), Rule.CONCEDE, [50, 100, 150]),
        (300, (100, 200, 300), Rule.PROPORTIONAL, [50, 100, 150]),
        # computed from the definitions in W. Thomson (2019)
        (400, (100, 200, 300), Rule.CONCEDE, [50, 125, 225]),
        (400, (100, 200, 300), Rule.EVEN, [100, 150, 150]),
        (200, (100, 200, 300), Rule.EVEN_LOSS, [0, 50, 150]),
        (10, (2, 4, 7, 8), Rule.EVEN_LOSS, [0, 1, 4, 5]),
    ],
)
def test_whole_awards_in_print_are_the_shares(amount, claims, rule, expected):
    assert divide(amount, [Ask(claim) for claim in claims], rule).shares == expected
