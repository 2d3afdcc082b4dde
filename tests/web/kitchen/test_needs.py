"""What jars a household lacks for its plans, and what it can spare beyond them."""

import pytest

from coop.buying.models import Share
from coop.core.preserving import processes_at
from coop.jars.queries.stock import stocks_in
from coop.kitchen.actions.uses import UseTerms, add_use
from coop.kitchen.errors import NotPublished
from coop.kitchen.models import Way
from coop.kitchen.queries.needs import (
    is_of,
    jars_wanted,
    lids_lacking,
    needs_of,
    plans_to_can,
    spares_of,
    to_can,
)
from coop.kitchen.queries.ways import WayKey
from tests.web import buy_factories, factories
from tests.web.kitchen_factories import (
    QUARTS,
    make_count,
    make_loan,
    make_outcome,
    make_plan,
    make_use,
)


def wanted_in(coop, *, sure=False):
    return jars_wanted(to_can(plans_to_can(coop)), sure=sure)


def test_a_need_is_what_is_planned_less_the_empty_jars(coop, household):
    make_count(household, {QUARTS: (5, 9, 9)})
    make_use(make_plan(household), jars=14)
    make_use(make_plan(household), jars=7)
    (need,) = needs_of(wanted_in(coop), stocks_in(coop), {})
    assert (need.kind, need.wanted, need.own, need.lacking) == (QUARTS, 21, 9, 12)


def test_a_need_is_never_below_zero(coop, household):
    make_count(household, {QUARTS: (0, 30, 0)})
    make_use(make_plan(household), jars=14)
    (need,) = needs_of(wanted_in(coop), stocks_in(coop), {})
    assert need.lacking == 0


def test_jars_promised_to_others_are_no_longer_ones_own(coop, household, other_household):
    make_count(household, {QUARTS: (0, 14, 14)})
    make_loan(household, other_household, {QUARTS: 6}, agreed=True)
    make_use(make_plan(household), jars=14)
    (need,) = needs_of(wanted_in(coop), stocks_in(coop), {})
    assert need.lacking == 6


def test_to_be_sure_counts_the_highest_yield(coop, household):
    # 31.5 lb of ears make 7 quarts on the average, a bushel of 35 lb 6 to 11 (USDA guide 4).
    make_use(make_plan(household), 315)
    likely, high = (wanted_in(coop, sure=sure)[household.pk][QUARTS] for sure in (False, True))
    assert (likely, high) == (7, 9)


def test_mouths_are_kinds_of_their_own(coop, household):
    make_use(make_plan(household), jars=5, mouth="wide")
    make_use(make_plan(household), jars=3)
    assert wanted_in(coop)[household.pk] == {"quart_wide": 5, QUARTS: 3}


def test_what_is_frozen_or_put_up_wants_no_jar(coop, household):
    make_use(make_plan(household), way=Way.FREEZE)
    make_outcome(make_use(make_plan(household), jars=7), tenths=300)
    assert wanted_in(coop) == {}


def test_what_is_planned_of_a_buy_is_known_from_its_share(coop, household):
    buy = buy_factories.make_divided_buy(coop, asks={household: 350})
    share = Share.objects.get(division__line__buy=buy)
    make_use(make_plan(household, share=share), jars=7)
    make_use(make_plan(household), jars=3)
    uses = to_can(plans_to_can(coop))
    assert sorted((each.jars_likely, is_of(each, buy)) for each in uses) == [(3, False), (7, True)]
    assert [each.jars_likely for each in to_can(plans_to_can(coop, buy))] == [7]


def test_nobody_spares_what_its_own_plans_need(coop, household, other_household):
    for each in (household, other_household):
        make_count(each, {QUARTS: (0, 24, 12)})
    make_use(make_plan(household), jars=20)
    assert spares_of(wanted_in(coop), stocks_in(coop)) == {
        household.pk: {QUARTS: 4},
        other_household.pk: {QUARTS: 12},
    }


def test_a_household_that_lacks_a_kind_spares_none_of_it(coop, household):
    make_count(household, {QUARTS: (0, 24, 12), "pint_wide": (0, 9, 9)})
    make_use(make_plan(household), jars=25)
    assert spares_of(wanted_in(coop), stocks_in(coop)) == {household.pk: {"pint_wide": 9}}


def test_lids_and_bands_are_lacking_by_mouth_household_by_household(coop, household):
    rich, poor = factories.make_household(coop), household
    make_count(rich, {}, lids={"regular": (100, 100)})
    make_count(poor, {}, lids={"regular": (4, 20)})
    for each in (rich, poor):
        make_use(make_plan(each), jars=10)
    (lacking,) = lids_lacking(wanted_in(coop), stocks_in(coop))
    assert (lacking.said, lacking.lids, lacking.bands) == ("regular mouth", 6, 0)


def test_a_household_that_left_needs_nothing(coop):
    gone = factories.make_household(coop)
    make_use(make_plan(gone), jars=10)
    gone.left_at = factories.NOW
    gone.save()
    assert wanted_in(coop) == {}


def test_half_gallons_are_only_for_juice(coop):
    # USDA Complete Guide to Home Canning 2015, guide 2: apple juice and grape juice.
    printed = {(row.produce, row.product) for row in processes_at(5430) if row.jar == "half_gallon"}
    assert {produce for produce, _ in printed} <= {"apple", "apples", "grape", "grapes"}
    assert printed
    assert all("juice" in product for _, product in printed)


def test_nothing_else_can_be_planned_into_half_gallons_nor_needs_them(coop, household, member):
    plan = make_plan(household)
    key = WayKey(Way.CAN, "whole_kernel", pack="hot", method="dial_gauge", jar="half_gallon")
    with pytest.raises(NotPublished):
        add_use(plan.pk, key, UseTerms(tenths=350), by=member)
    make_use(plan, jar="half_gallon")
    assert wanted_in(coop) == {}


def test_juice_in_half_gallons_needs_half_gallons(coop, household):
    row = next(row for row in processes_at(5430) if row.jar == "half_gallon")
    plan = make_plan(household, row.produce)
    keys = {"product": row.product, "pack": row.pack, "method": row.method, "jar": row.jar}
    make_use(plan, jars=6, mouth="wide", **keys)
    assert wanted_in(coop)[household.pk] == {"half_gallon_wide": 6}
