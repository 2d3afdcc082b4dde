"""Sharing a cost: published figures, and what is refused."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from coop.core.charges import share_by_weight, share_equally, trip_cents, trip_shares
from tests.core.slow_charges import shapley, slow_trip_shares

AIRPORTS = (
    # The encyclopedia article on the airport problem, in several stored copies.
    ((8, 11, 13, 18), (2, 3, 4, 9)),
    # "Airport Problem and the Shapley Solution", Thoughtful Examinations, two problems.
    ((1500, 2200, 3000), (500, 850, 1650)),
    ((1500, 2200, 3500), (500, 850, 2150)),
)


@pytest.mark.parametrize(("costs", "shares"), AIRPORTS)
def test_a_trip_is_shared_as_published(costs: tuple[int, ...], shares: tuple[int, ...]) -> None:
    assert trip_shares(costs) == list(shares) == slow_trip_shares(costs)


@pytest.mark.parametrize(("costs", "shares"), AIRPORTS)
def test_the_published_trips_come_out_the_same_in_cents(
    costs: tuple[int, ...], shares: tuple[int, ...]
) -> None:
    assert trip_cents(max(costs), costs) == list(shares)


def test_the_slow_shapley_value_is_right_on_the_published_games() -> None:
    # Gloves, players 0 and 1 hold right ones, 2 a left one: encyclopedia article on the Shapley
    # value. Then v(1) = 100, v(2) = 200, v(12) = 700: S. Moretti, D. Rios, A. Tsoukias, lecture
    # slides, LAMSADE, Paris Dauphine.
    gloves = shapley(3, lambda group: Fraction(2 in group and len(group) > 1))
    assert gloves == [Fraction(1, 6), Fraction(1, 6), Fraction(2, 3)]
    worth = {(): 0, (0,): 100, (1,): 200, (0, 1): 700}
    assert shapley(2, lambda group: Fraction(worth[tuple(sorted(group))])) == [300, 400]


def test_three_sisters_pay_for_thirteen_quarts_each() -> None:
    # 39 quarts at $2.02 a quart, 13 each: ninadiane.blogspot.com, 2013 and 2015.
    assert share_by_weight(39 * 202, [13, 13, 13]) == [13 * 202] * 3 == share_equally(39 * 202, 3)


def test_odd_cents_of_an_equal_share_go_to_the_first() -> None:
    assert share_equally(1001, 3) == [334, 334, 333]


def test_odd_cents_go_round_with_the_order_for_ties() -> None:
    shares = [share_equally(1000, 3, [turn, (turn + 1) % 3, (turn + 2) % 3]) for turn in range(3)]
    assert [sum(each) for each in zip(*shares, strict=True)] == [1000, 1000, 1000]


def test_an_order_for_ties_does_not_overrule_a_larger_remainder() -> None:
    # 100 in 1 : 2 : 4 is 14 2/7, 28 4/7, 57 1/7, whatever the order.
    assert share_by_weight(100, [1, 2, 4], tie_order=[2, 0, 1]) == [14, 29, 57]


def test_nothing_to_share_is_shared_among_nobody() -> None:
    assert (
        share_equally(0, 0) == share_by_weight(0, []) == trip_shares([]) == trip_cents(0, []) == []
    )
    assert share_by_weight(0, [0, 0]) == trip_cents(0, [0, 0]) == [0, 0]


@pytest.mark.parametrize("share", [share_by_weight, trip_cents])
def test_a_cost_that_nobody_has_a_part_in_is_refused(
    share: Callable[[int, list[int]], list[int]],
) -> None:
    with pytest.raises(ValueError, match="nobody has a weight above zero"):
        share(500, [0, 0])


def test_a_cost_is_not_shared_among_nobody_or_fewer() -> None:
    with pytest.raises(ValueError, match="nobody"):
        share_equally(500, 0)
    with pytest.raises(ValueError, match="A cost cannot be shared among -1"):
        share_equally(0, -1)


def test_a_cost_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="-500 is below zero"):
        share_equally(-500, 2)


@pytest.mark.parametrize("order", [[0], [0, 0], [1, 2], [0, 1, 2]])
def test_an_order_for_ties_names_each_place_once(order: list[int]) -> None:
    with pytest.raises(ValueError, match="does not name each place of 2 once"):
        share_by_weight(500, [1, 1], tie_order=order)


@pytest.mark.parametrize(
    ("cost", "sentence"),
    [(-3, "Cost 2: -3 is below zero"), (1.5, "Cost 2: 1.5 is not a whole number or a fraction")],
)
def test_a_trip_names_the_cost_that_is_wrong(cost: float, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        trip_shares([1, cost])  # type: ignore[list-item]
