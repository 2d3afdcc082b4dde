"""The co-op's own yields, beside the published ones."""

from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.kitchen.queries.yields import own_yield, yields_in
from tests.web.factories import make_farm, make_household
from tests.web.kitchen_factories import make_outcome, make_plan, make_use
from tests.web.reading import main_of, text_of

PAGE = "/cottonwood/yields/"


@pytest.fixture
def put_up(household):
    """Put a batch of corn in quarts up: tenths of a pound, jars, and the farm."""

    def batch(tenths, jars, farm=None, **fields):
        use = make_use(make_plan(household, farm=farm), tenths, **fields)
        return make_outcome(use, tenths, jars)

    return batch


def test_least_middle_and_most_by_the_bushel(coop, put_up):
    for tenths, jars in ((350, 7), (700, 16), (350, 9)):
        put_up(tenths, jars)
    (corn,) = yields_in(coop)
    assert (corn.least, corn.middle, corn.most, corn.batches) == (7, 8, 9, 3)
    # USDA Complete Guide to Home Canning, 2015: a bushel of corn is 35 lb in the husk and gives
    # 6 to 11 quarts.
    assert (corn.basis.pounds, corn.published.low, corn.published.high) == (35, 6, 11)
    assert corn.of(Fraction(70)) == (14, 18)


def test_each_farm_by_itself_and_all_together(coop, put_up):
    near, far = make_farm(coop, "Near Farm"), make_farm(coop, "Far Farm")
    put_up(350, 7, near)
    put_up(350, 9, far)
    put_up(350, 8)
    found = yields_in(coop)
    assert [(each.farm, each.middle, each.batches) for each in found] == [
        (None, 8, 3),
        (far, 9, 1),
        (near, 7, 1),
    ]
    assert own_yield(found, found[0].thing, near).middle == 7
    assert own_yield(found, found[0].thing, make_farm(coop)).middle == 8


def test_pints_and_quarts_frozen_and_canned_are_kept_apart(coop, put_up):
    put_up(350, 8)
    put_up(350, 17, jar="pint")
    put_up(350, 15, way="freeze")
    assert [(each.thing.way, each.thing.jar) for each in yields_in(coop)] == [
        ("can", "pint"),
        ("can", "quart"),
        ("freeze", "pint"),
    ]


def test_what_kept_nothing_is_no_yield(coop, put_up):
    put_up(350, 0)
    assert yields_in(coop) == []


def test_dried_food_is_told_by_weight_and_has_nothing_published(coop, household):
    plan = make_plan(household, "apricots")
    use = make_use(plan, 400, way="dry", product="halves")
    make_outcome(use, 400, 0, dried_tenths=60)
    (dried,) = yields_in(coop)
    assert (dried.middle, dried.basis.pounds, dried.published) == (Fraction(3, 2), 10, None)


def test_another_coops_batches_do_not_count(coop, other_coop):
    make_outcome(make_use(make_plan(make_household(other_coop))), 350, 20)
    assert yields_in(coop) == []


def test_the_page_shows_ours_beside_the_published(as_member, put_up):
    put_up(350, 8)
    row = main_of(as_member.get(PAGE)).select_one("tbody tr")
    said = " ".join(row.text.split())
    assert said == "Sweet corn, whole kernel, quarts all together a bushel of 35 lb 8 8 1 6 to 11"


def test_the_page_narrows_down_to_a_produce_and_a_farm(as_member, coop, household, put_up):
    farm = make_farm(coop)
    put_up(350, 8, farm)
    peaches = make_use(make_plan(household, "peaches"), product="halved_or_sliced")
    make_outcome(peaches, 480, 18)
    table = main_of(as_member.get(PAGE, {"produce": "peaches"})).select_one("tbody").text
    assert "Peaches" in table
    assert "Sweet corn" not in table
    table = main_of(as_member.get(PAGE, {"farm": farm.pk})).select_one("tbody").text
    assert "Sweet corn" in table
    assert "Peaches" not in table


@pytest.mark.parametrize("query", ({"produce": "x"}, {"farm": "999999"}, {"farm": "x"}))
def test_an_address_with_a_wrong_filter_still_answers(as_member, put_up, query):
    put_up(350, 8)
    assert as_member.get(PAGE, query).status_code == 200


def test_an_empty_page_says_what_it_is_for(as_member):
    assert "No batch written down yet" in text_of(as_member.get(PAGE))


@pytest.mark.sqlite  # as many queries on any database
def test_many_batches_cost_no_more_queries_than_one(as_member, coop, put_up):
    counts = []
    for more in (1, 6):
        for _ in range(more):
            put_up(350, 8, make_farm(coop))
        with CaptureQueriesContext(connection) as queries:
            page = as_member.get(PAGE)
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert len(main_of(page).select("tbody tr")) == 8
