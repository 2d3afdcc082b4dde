"""Which containers are recommended, held against sums done by hand and against every choice."""

from itertools import product

import pytest

from coop.buying.queries.lines import cost_cents, lines_of, supplies_of
from coop.buying.queries.lots import counts_of, plans_of, problem_with
from tests.web.buy_factories import make_ask, make_buy, make_line, make_supply, the_line, the_supply
from tests.web.factories import make_farm, make_household, make_offer


def asked(line, *wanted, **terms):
    for amount in wanted:
        make_ask(line, make_household(line.buy.coop), amount, **terms)


def the_plans(buy):
    return plans_of(lines_of([buy]))[0]


def test_seven_bushels_would_leave_5_lb_over_so_six_are_within_what_is_asked(coop):
    # By hand: 240 lb asked, 35 lb a bushel: 6 bushels are 210 lb, 7 are 245 lb.
    buy = make_buy(coop)
    asked(the_line(buy), 700, 700, 350, 650)
    plans = the_plans(buy)
    assert (plans.best.amount, plans.best.short) == (2100, 300)
    more = plans.plans[-1]
    assert (more.amount, plans.over_asked(more)) == (2450, 50)


def test_who_bears_a_little_more_lets_the_next_bushel_in(coop):
    buy = make_buy(coop)
    asked(the_line(buy), 700, 700, 650)
    make_ask(the_line(buy), make_household(coop), 350, at_most=400)
    assert the_plans(buy).best.amount == 2450


def test_a_price_break_makes_more_cost_less(coop):
    # By hand: 5 x $24 = $120, 6 x $20 = $120, 7 x $16 = $112.
    offer = make_offer(make_farm(coop), prices=[(1, 2400), (6, 2000), (7, 1600)])
    buy = make_buy(coop, offers=[offer])
    make_ask(the_line(buy), make_household(coop), 1750, at_most=2450)
    best = the_plans(buy).best
    assert (best.containers, best.cost_cents) == (7, 11200)


def test_an_ask_for_all_or_nothing_promises_nothing(coop):
    buy = make_buy(coop)
    make_ask(the_line(buy), make_household(coop), 350, at_least=350, or_none=True)
    assert the_plans(buy).needs.lower == 0


def test_what_the_farms_lack_of_the_minimums_is_said(coop):
    buy = make_buy(coop, offers=[make_offer(make_farm(coop), available=1)])
    asked(the_line(buy), 700, at_least=500)
    plans = the_plans(buy)
    assert (plans.best.amount, plans.missing) == (350, 150)


def test_nobody_asks_so_nothing_is_bought(coop):
    plans = the_plans(make_buy(coop))
    assert (plans.best.amount, plans.best.cost_cents) == (0, 0)


def test_a_line_without_a_supply_has_an_empty_plan(coop):
    buy = make_buy(coop, offers=())
    make_line(buy, make_offer(make_farm(coop)))
    assert the_plans(buy).best.counts == {}


def two_lines_and_two_farms(coop):
    """Corn and peaches, each from both farms: near is dear, far is cheap, a trip each."""
    near, far = make_farm(coop, "Near"), make_farm(coop, "Far")
    buy = make_buy(coop, offers=())
    for produce, dear, cheap in (("Corn", 2400, 2000), ("Peaches", 3000, 2700)):
        line = make_line(buy, make_offer(near, produce, prices=[(1, dear)]), produce=produce)
        make_supply(line, line.buy.coop.farms.get(name="Near").offers.get(produce=produce))
        make_supply(line, make_offer(far, produce, prices=[(1, cheap)]))
    for supply in supplies_of(lines_of([buy])):
        supply.trip_cents = 500 if supply.farm == near else 2000
        supply.save()
    return buy


@pytest.mark.parametrize("bushels", [(2, 1), (3, 3), (5, 4), (0, 2)])
def test_a_trip_that_several_lines_share_is_weighed_once(coop, bushels):
    buy = two_lines_and_two_farms(coop)
    for line, count in zip(buy.lines.all(), bushels, strict=True):
        if count:
            asked(line, count * 350)
    lines = lines_of([buy])
    supplies = supplies_of(lines)
    chosen = counts_of(plans_of(lines))
    # Every choice of containers that brings exactly what is asked, costed one by one.
    ways = (
        dict(zip([supply.pk for supply in supplies], counts, strict=True))
        for counts in product(range(max(bushels) + 1), repeat=len(supplies))
    )
    exact = [
        sum(cost_cents(supplies, way))
        for way in ways
        if all(
            sum(way[supply.pk] for supply in line.supplies.all()) == count
            for line, count in zip(lines, bushels, strict=True)
        )
    ]
    assert sum(cost_cents(supplies, chosen)) == min(exact)


def test_a_count_that_a_farm_does_not_sell_is_told_in_words(coop):
    farm = make_farm(coop, "Fennick farm")
    supply = the_supply(make_buy(coop, offers=[make_offer(farm, available=9, at_least=3)]))
    assert problem_with(supply, 10) == "Fennick farm has only 9 of these."
    assert problem_with(supply, 2) == "Fennick farm sells 3 of these or more, or none."
    assert [problem_with(supply, count) for count in (0, 3, 9)] == ["", "", ""]
