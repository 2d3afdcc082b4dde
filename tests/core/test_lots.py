"""Lot plans on examples worked by hand, most with prices and weights that someone has published."""

import pytest

from coop.core.lots import LotPlan, Offer, cost_of, lot_plans, next_price_break


def test_forty_pounds_cost_less_than_thirty_eight_where_the_price_breaks_at_forty() -> None:
    # Pick-your-own, $1.00 a pound, 40 lb or more $0.93: an orchard's price notes,
    # brendasberries.blogspot.com, 2018-2020. 38 x 100 = 3800 > 40 x 93 = 3720 > 37 x 100.
    pounds = [Offer("pound", 1, [(1, 100), (40, 93)])]
    assert lot_plans(30, 38, 50, pounds)[0] == LotPlan((40,), 40, 3720, short=0, over=2)
    assert lot_plans(30, 37, 50, pounds)[0] == LotPlan((37,), 37, 3700, short=0, over=0)


def test_four_small_bags_beat_the_half_bushel_that_names_the_same_volume() -> None:
    # Weighed by a couple: a half-bushel of 17.7 lb for $25, four half-peck bags of 22 lb for
    # $23.80 (Apple Logic, arleneyolles.com, 2014). Base step: a tenth of a pound.
    offers = [Offer("half-bushel", 177, [(1, 2500)]), Offer("half-peck bag", 55, [(1, 595)])]
    best, second = lot_plans(0, 177, 230, offers)[:2]
    assert best == LotPlan((0, 4), 220, 2380, short=0, over=43)
    assert second == LotPlan((1, 0), 177, 2500, short=0, over=0)


@pytest.mark.parametrize(("small", "large"), [(3, 5), (7, 9), (11, 26), (20, 53)])
def test_two_sizes_miss_the_amounts_that_sylvester_counted(small: int, large: int) -> None:
    # Sizes a and b without a common factor: the largest amount that cannot be made up is
    # ab - a - b, and (a - 1)(b - 1) / 2 amounts cannot. J. J. Sylvester, 1882-84 (from memory).
    offers = [Offer("small", small, [(1, 1)]), Offer("large", large, [(1, 1)])]
    made_up = {plan.amount for plan in lot_plans(0, 0, small * large, offers)}
    missed = set(range(small * large + 1)) - made_up
    assert max(missed) == small * large - small - large
    assert len(missed) == (small - 1) * (large - 1) // 2


def test_the_six_nine_and_twenty_piece_boxes_cannot_make_forty_three() -> None:
    # The Frobenius number of 6, 9 and 20 is 43, a well-known puzzle (from memory).
    boxes = [Offer("box", size, [(1, 1)]) for size in (6, 9, 20)]
    assert lot_plans(43, 43, 43, boxes) == []
    assert {plan.amount for plan in lot_plans(44, 44, 200, boxes)} == set(range(44, 201))


def test_plans_that_cover_come_first_and_the_nearest_short_one_follows() -> None:
    lugs = [Offer("lug", 20, [(1, 1800)], available=3)]
    plans = lot_plans(20, 50, 60, lugs)
    assert [(plan.amount, plan.short, plan.over) for plan in plans] == [
        (60, 0, 10),
        (40, 10, 0),
        (20, 30, 0),
    ]


def test_a_farm_with_a_minimum_sells_none_or_at_least_that_many() -> None:
    crates = [Offer("crate", 1, [(1, 900)], at_least=10, available=12)]
    assert [plan.amount for plan in lot_plans(0, 0, 99, crates)] == [0, 10, 11, 12]


def test_a_farm_that_sold_down_to_less_than_its_minimum_sells_none() -> None:
    assert lot_plans(1, 5, 9, [Offer("crate", 1, [(1, 900)], available=4, at_least=5)]) == []


def test_a_trip_is_paid_once_and_can_make_the_dearer_farm_the_cheaper() -> None:
    # Near: 4 x 1100 = 4400, no trip. Far: 4 x 1000 + 500 = 4500; 6 x 1000 + 500 = 6500 < 6600.
    near, far = Offer("near", 1, [(1, 1100)]), Offer("far", 1, [(1, 1000)], fixed_cents=500)
    assert lot_plans(4, 4, 4, [near, far])[0].counts == (4, 0)
    assert lot_plans(6, 6, 6, [near, far])[0].counts == (0, 6)


def test_offers_of_one_farm_share_the_dearest_trip_of_those_bought() -> None:
    bushels = Offer("bushel", 4, [(1, 2000)], available=1, fixed_cents=1500, farm="Hill")
    pecks = Offer("peck", 1, [(1, 800)], fixed_cents=900, farm="Hill")
    assert lot_plans(1, 1, 1, [bushels, pecks])[0].cost_cents == 800 + 900
    assert lot_plans(5, 5, 5, [bushels, pecks])[0].cost_cents == 2000 + 800 + 1500


def test_among_equally_cheap_plans_the_fewest_containers_win() -> None:
    # Eight pecks of 300 are as dear as two bushels of 1200 or four half-bushels of 600.
    pecks, halves = Offer("peck", 1, [(1, 300)]), Offer("half", 2, [(1, 600)])
    bushels = Offer("bushel", 4, [(1, 1200)])
    assert lot_plans(8, 8, 8, [pecks, halves, bushels])[0].counts == (0, 0, 2)


def test_among_equally_many_containers_the_earliest_offer_wins() -> None:
    same = [Offer("red", 1, [(1, 300)], available=2), Offer("blue", 1, [(1, 300)])]
    assert lot_plans(3, 3, 3, same)[0].counts == (2, 1)
    assert lot_plans(3, 3, 3, same[::-1])[0].counts == (3, 0)


def test_buying_nothing_is_a_plan_only_where_nothing_is_needed() -> None:
    assert lot_plans(0, 0, 0, []) == [LotPlan((), 0, 0, short=0, over=0)]
    assert lot_plans(0, 3, 5, []) == [LotPlan((), 0, 0, short=3, over=0)]
    assert lot_plans(1, 1, 5, []) == []


def test_a_price_break_names_the_containers_missing_and_what_the_whole_would_cost() -> None:
    # Two or more 20-lb boxes of seconds are cheaper again, says the orchard of the first test;
    # the cents here are ours.
    boxes = Offer("20-lb box", 200, [(1, 1480), (2, 1380)], available=5, fixed_cents=700)
    found = next_price_break(boxes, 1)
    assert found is not None
    assert (found.more, found.cents_each, found.cost_cents) == (1, 1380, 2 * 1380 + 700)
    assert next_price_break(boxes, 2) is None


def test_a_price_break_past_what_the_farm_has_is_no_break() -> None:
    assert next_price_break(Offer("bag", 1, [(1, 500), (10, 400)], available=9), 8) is None


def test_a_price_that_rises_again_is_taken_as_the_farm_says() -> None:
    scarce = [Offer("flat", 1, [(1, 500), (3, 700)])]
    assert [plan.cost_cents for plan in lot_plans(1, 1, 3, scarce)] == [500, 1000, 2100]


def test_a_table_too_large_is_refused_and_a_common_unit_makes_it_small() -> None:
    with pytest.raises(ValueError, match="2000001 amounts to compare is over 1000000"):
        lot_plans(0, 0, 2_000_000, [Offer("ear", 1, [(1, 1)])])
    assert len(lot_plans(0, 0, 2_000_000, [Offer("tonne", 500_000, [(1, 1)])])) == 5


def test_a_large_upper_bound_costs_nothing_where_the_farms_have_little() -> None:
    assert len(lot_plans(0, 0, 10**15, [Offer("ear", 1, [(1, 1)], available=9)])) == 10


@pytest.mark.parametrize(
    ("bounds", "sentence"),
    [
        ((-1, 0, 0), "Lower -1 is below 0."),
        ((5, 4, 9), "Wanted 4 is below lower 5."),
        ((1, 4, 3), "Upper 3 is below wanted 4."),
    ],
)
def test_amounts_out_of_order_are_named(bounds: tuple[int, int, int], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        lot_plans(*bounds, [])


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        ({"size": 0}, "size 0 is below 1"),
        ({"size": 1.5}, "size 1.5 is not a whole number"),
        ({"prices": []}, "the first price must be from 1 container"),
        ({"prices": [(2, 500)]}, "the first price must be from 1 container"),
        ({"prices": [(1, -5)]}, "price from 1 -5 is below 0"),
        ({"prices": [(1, 5), (4, 3), (4, 2)]}, "the price break at 4 comes after 4"),
        ({"available": -1}, "available -1 is below 0"),
        ({"at_least": -1}, "at_least -1 is below 0"),
        ({"fixed_cents": -1}, "fixed_cents -1 is below 0"),
    ],
)
def test_an_offer_names_the_term_that_is_wrong(terms: dict[str, object], sentence: str) -> None:
    right: dict[str, object] = {"container": "lug", "size": 20, "prices": [(1, 500)]}
    with pytest.raises(ValueError, match=f"Offer 'lug': {sentence}"):
        Offer(**{**right, **terms})


def test_an_offer_does_not_change_with_the_list_it_was_made_from() -> None:
    prices = [(1, 500)]
    offer = Offer("lug", 20, prices)
    prices.append((2, 1))
    assert offer.cost_cents(2) == 1000
    assert hash(offer) == hash(Offer("lug", 20, [(1, 500)]))


def test_a_cost_is_refused_for_containers_that_the_farm_does_not_sell() -> None:
    crates = [Offer("crate", 1, [(1, 900)], at_least=3)]
    with pytest.raises(ValueError, match="Offer 'crate': the farm does not sell 2"):
        cost_of(crates, [2])
    with pytest.raises(ValueError, match="2 counts for 1 offers"):
        cost_of(crates, [3, 3])
