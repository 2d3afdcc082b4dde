"""Laws of sharing a cost, on costs and weights of every kind."""

from fractions import Fraction
from itertools import combinations

from apportionment.methods import TiesException, compute
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from coop.core.charges import share_by_weight, share_equally, trip_cents, trip_shares
from tests.core.slow_charges import check_shares, slow_trip_shares

CENTS = st.integers(0, 10**7)
PARTS = st.integers(0, 1000) | st.fractions(0, 1000, max_denominator=60)
WEIGHTS = st.lists(PARTS, min_size=1, max_size=12).filter(any)
COSTS = st.lists(PARTS, min_size=1, max_size=6)


@given(CENTS, WEIGHTS, st.data())
def test_shares_add_up_and_are_within_a_cent_of_exact(
    cents: int, weights: list[Fraction], data: st.DataObject
) -> None:
    order = data.draw(st.none() | st.permutations(range(len(weights))))
    check_shares(cents, weights, share_by_weight(cents, weights, order))


@given(CENTS, WEIGHTS, st.data())
def test_who_has_more_never_pays_less(
    cents: int, weights: list[Fraction], data: st.DataObject
) -> None:
    order = data.draw(st.permutations(range(len(weights))))
    shares = share_by_weight(cents, weights, order)
    for one, other in combinations(range(len(weights)), 2):
        assert (weights[one] - weights[other]) * (shares[one] - shares[other]) >= 0


@given(CENTS, st.integers(1, 60), st.data())
def test_equal_shares_differ_by_a_cent_and_the_first_in_order_pay_it(
    cents: int, n: int, data: st.DataObject
) -> None:
    order = data.draw(st.permutations(range(n)))
    shares = share_equally(cents, n, order)
    assert [shares[place] for place in order] == [
        cents // n + (seat < cents % n) for seat in range(n)
    ]


@settings(max_examples=50)
@given(st.integers(1, 10**6), st.lists(st.integers(1, 10**6), min_size=1, max_size=30))
def test_shares_by_weight_are_those_of_a_general_package(cents: int, weights: list[int]) -> None:
    # PyPI `apportionment` 1.0, in exact fractions. Where remainders tie at the last cent it can
    # pass over a larger one that stands later (8 among 4, 4, 1: 4, 4, 0), so not there.
    try:
        expected = compute("largest_remainder", weights, cents, fractions=True, tiesallowed=False)
    except TiesException:
        reject()
    assert share_by_weight(cents, weights) == expected


@given(COSTS)
def test_a_trip_is_shared_by_the_shapley_value(costs: list[Fraction]) -> None:
    assert trip_shares(costs) == slow_trip_shares(costs)


@given(COSTS)
def test_no_group_pays_more_than_its_own_trip(costs: list[Fraction]) -> None:
    shares = trip_shares(costs)
    assert sum(shares) == max(costs)
    for size in range(1, len(costs)):
        for group in combinations(range(len(costs)), size):
            assert sum(shares[each] for each in group) <= max(costs[each] for each in group)


@given(COSTS, st.data())
def test_a_longer_way_costs_that_household_more_and_nobody_else(
    costs: list[Fraction], data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(costs) - 1))
    longer = [*costs]
    longer[place] += data.draw(PARTS)
    before, after = trip_shares(costs), trip_shares(longer)
    assert after[place] >= before[place]
    assert all(after[each] <= before[each] for each in range(len(costs)) if each != place)


@given(COSTS)
def test_who_needs_no_trip_pays_nothing_and_changes_nothing(costs: list[Fraction]) -> None:
    assert trip_shares([*costs, 0]) == [*trip_shares(costs), 0]


@given(COSTS, PARTS)
def test_one_more_household_makes_the_trip_dearer_for_nobody_unless_it_lives_farther(
    costs: list[Fraction], one_more: Fraction
) -> None:
    before, after = trip_shares(costs), trip_shares([*costs, one_more])
    assert all(new <= old for new, old in zip(after, before, strict=False))


@given(CENTS, COSTS.filter(any))
def test_a_trip_in_cents_adds_up_and_is_within_a_cent_of_exact(
    cents: int, costs: list[Fraction]
) -> None:
    check_shares(cents, slow_trip_shares(costs), trip_cents(cents, costs))
