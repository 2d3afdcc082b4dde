"""Last loads go into one canner where method, minutes, pressure and jar are the same."""

import random

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Share
from coop.core.preserving import LoadKey, LoadPart, share_loads
from coop.kitchen.models import Plan
from coop.kitchen.queries.plans import plan_for, use_for
from coop.kitchen.queries.together import offers_for, shares_for, together_in
from tests.web import buy_factories, factories
from tests.web.kitchen_factories import make_kitchen, make_outcome, make_plan, make_use
from tests.web.reading import main_of, sections_of, text_of

#: Whole kernel corn in quarts, hot pack, dial gauge at 4,001 to 6,000 ft: 85 minutes at 13 psi
#: (USDA Complete Guide to Home Canning 2015, guide 4; the cast's co-op lies at 5,430 ft).
CORN = "Pressure canner, dial gauge, 85 minutes at 13 psi"


@pytest.fixture
def address(coop):
    return f"/{coop.slug}/plans/together/"


def plan_corn(household, jars=3, **fields):
    return make_use(make_plan(household, kitchen=fields.pop("kitchen", None)), jars=jars, **fields)


def test_two_last_loads_that_fill_one_are_told_with_what_that_saves(
    as_member, address, household, other_household
):
    plan_corn(household, 3)
    plan_corn(other_household, 4)
    text = text_of(as_member.get(address))
    assert "Castell 3 quarts and Dufresne 4 quarts fill one load of 7: one load less" in text
    assert "2 loads if everybody cooks alone 1 load if" in text
    # 85 minutes; heating, 10 of venting, pressure, cooling and 10 of waiting around them.
    assert "about 2 h 20 min to 3 h 5 min of stove time" in text
    assert CORN in text


def test_a_shared_load_says_whom_to_call(as_member, address, household, other_household):
    third = factories.make_household(household.coop, "Fenn", phone="")
    other_household.phone, household.phone = "(970) 555-0142", "(970) 555-0199"
    other_household.save()
    household.save()
    for each, jars in ((household, 2), (other_household, 3), (third, 2)):
        plan_corn(each, jars)
    main = main_of(as_member.get(address))
    (row,) = main.select("section[aria-labelledby=group-1] li")
    assert "Call Dufresne: (970) 555-0142" in row.get_text()
    assert "Fenn has given no phone number" in row.get_text()
    assert [link["href"] for link in row.select("a")] == ["tel:%28970%29 555-0142"]


def test_only_the_last_load_of_a_bigger_batch_is_shared(
    as_member, address, household, other_household
):
    plan_corn(household, 9)
    plan_corn(other_household, 5)
    text = text_of(as_member.get(address))
    assert "Castell 2 quarts and Dufresne 5 quarts fill one load of 7" in text
    assert "3 loads if everybody cooks alone" in text


@pytest.mark.parametrize(
    "other",
    [
        {"jar": "pint"},
        {"method": "weighted_gauge"},
        {"jars_per_load": 9},
        {"product": "cream_style", "jar": "pint"},
    ],
)
def test_what_differs_in_jar_canner_or_minutes_shares_nothing(
    as_member, address, household, other_household, other
):
    plan_corn(household, 3)
    plan_corn(other_household, 4, **other)
    text = text_of(as_member.get(address))
    assert "Nothing to gain by sharing" in text
    assert "fill one load" not in text
    assert "3 quarts 1 3 of 7" in text


def test_what_is_cooked_in_two_places_shares_nothing(coop, household, other_household):
    plan_corn(household, 3)
    plan_corn(other_household, 4, kitchen=make_kitchen(coop))
    assert together_in(coop).loads_less == 0


def test_different_foods_share_when_everything_else_is_the_same(coop, household, other_household):
    # Okra and asparagus in quarts, hot pack: 40 minutes at 13 psi both (USDA guide 4).
    for each, produce, product, jars in (
        (household, "okra", "whole_or_cut", 3),
        (other_household, "asparagus", "spears_or_pieces", 4),
    ):
        make_use(make_plan(each, produce), product=product, jars=jars)
    group = together_in(coop).shared[0]
    assert (group.key.minutes, group.key.psi, group.loads_less) == (40, 13, 1)
    foods = [food.split(", ")[0] for food in group.joint[0].foods_said]
    assert foods == ["Castell: okra", "Dufresne: asparagus"]


def test_what_is_put_up_dropped_or_frozen_is_not_there(
    as_member, address, household, other_household
):
    make_outcome(plan_corn(household, 3), tenths=200)
    dropped = plan_corn(other_household, 4)
    Plan.objects.filter(pk=dropped.plan_id).update(dropped_at=factories.NOW)
    make_use(make_plan(household), way="freeze")
    assert "Nothing to can yet" in text_of(as_member.get(address))


def test_everybodys_own_loads_are_listed_with_how_full_the_last_is(
    as_member, address, household, other_household
):
    plan_corn(other_household, 18)
    plan_corn(household, 7)
    rows = main_of(as_member.get(f"{address}?show=apart")).select("tbody tr")
    cells = [[cell.get_text(" ", strip=True) for cell in row.select("td")] for row in rows]
    assert [row[2:] for row in cells] == [["7 quarts", "1", "7 of 7"], ["18 quarts", "3", "4 of 7"]]


def test_jars_are_parted_only_where_that_saves_a_load(coop):
    for _ in range(7):
        plan_corn(factories.make_household(coop), 6)
    group = together_in(coop).shared[0]
    parted = {put.part.household for load in group.joint for put in load.puts if put.is_parted}
    assert (len(group.joint), group.loads_less, len(parted)) == (6, 1, 1)


def test_every_joint_load_is_right_whatever_the_jars(coop):
    """A checker that knows nothing of how the loads were put together; common sense, no source."""
    chance = random.Random(7)
    for _ in range(40):
        plan_corn(factories.make_household(coop), chance.randint(1, 20))
    group = together_in(coop).groups[0]
    loads = [*group.joint, *group.alone]
    assert all(0 < load.jars <= group.capacity for load in loads)
    for part in group.parts:
        assert part.jars % 7 == sum(p.jars for load in loads for p in load.puts if p.part is part)
    parts = [LoadPart(str(n), group.key, part.jars, 7) for n, part in enumerate(group.parts)]
    (shared,) = share_loads(parts)
    assert group.loads_less == shared.loads_apart - shared.loads_together
    assert group.loads_less == sum(load.less for load in loads)
    assert group.key == LoadKey("dial_gauge", 85, 13, "quart")


def test_a_use_is_offered_company_on_its_plan(as_member, coop, member, household, other_household):
    mine = plan_corn(household, 3)
    plan_corn(other_household, 2)
    plan_corn(factories.make_household(coop), 2)
    offer = shares_for(use_for(member, mine.pk))
    assert offer is not None
    said = "2 other households cook at the same minutes and pressure: together 2 loads less."
    assert offer.said == said
    page = text_of(as_member.get(f"/{coop.slug}/plans/{mine.plan_id}/"))
    assert said in page


def test_a_use_whose_loads_are_full_is_offered_nothing(member, household, other_household):
    full = plan_corn(household, 7)
    plan_corn(other_household, 4)
    assert shares_for(use_for(member, full.pk)) is None


@pytest.mark.sqlite  # as many queries on any database
def test_offers_take_three_queries_for_a_whole_plan(member, coop, household):
    plan = make_plan(household)
    for pack in ("hot", "raw"):
        make_use(plan, jars=3, pack=pack)
    for _ in range(20):
        plan_corn(factories.make_household(coop), 4)
    fetched = plan_for(member, plan.pk)
    with CaptureQueriesContext(connection) as captured:
        offers = offers_for(fetched)
    assert (len(offers), len(captured)) == (2, 3)


def test_the_page_of_a_buy_counts_only_its_own_plans(as_member, coop, household, other_household):
    buy = buy_factories.make_divided_buy(coop, asks={household: 350, other_household: 350})
    for share in Share.objects.filter(division__line__buy=buy):
        make_use(make_plan(share.household, share=share), jars=4)
    plan_corn(factories.make_household(coop, "Eklund"), 3)
    text = text_of(as_member.get(f"/{coop.slug}/buys/{buy.pk}/loads/"))
    assert "2 loads if everybody cooks alone" in text
    assert "Eklund" not in text


def test_a_buy_leads_to_both_pages_once_somebody_has_a_plan(as_member, coop, household):
    buy = buy_factories.make_divided_buy(coop, asks={household: 350})
    page = f"/{coop.slug}/buys/{buy.pk}/"
    assert "Loads to share" not in text_of(as_member.get(page))
    make_plan(household, share=Share.objects.get(division__line__buy=buy))
    links = {link.get("href") for link in main_of(as_member.get(page)).select("a")}
    assert {f"{page}loads/", f"{page}jars/"} <= links


def test_another_coops_buy_is_404_and_its_plans_are_not_seen(as_member, coop, other_coop, address):
    theirs = buy_factories.make_divided_buy(other_coop)
    plan_corn(factories.make_household(other_coop, "Eklund"), 3)
    assert as_member.get(f"/{coop.slug}/buys/{theirs.pk}/loads/").status_code == 404
    assert as_member.get(f"/{coop.slug}/buys/99999/loads/").status_code == 404
    assert "Nothing to can yet" in text_of(as_member.get(address))


def test_own_groups_stand_first_and_long_lists_are_paged(as_member, coop, household, address):
    for _ in range(50):
        plan_corn(factories.make_household(coop), 3)
    plan_corn(household, 3, method="weighted_gauge")
    plan_corn(factories.make_household(coop), 3, method="weighted_gauge")
    headings = list(sections_of(as_member.get(address)))
    assert "weighted gauge" in headings[1]
    assert main_of(as_member.get(address)).select("a[rel=next]")
    assert as_member.get(f"{address}?page=2").status_code == 200


@pytest.mark.sqlite  # as many queries on any database
def test_three_hundred_households_take_as_many_queries_as_two(as_member, coop, address):
    counts = []
    for more in (2, 298):
        for _ in range(more):
            plan_corn(factories.make_household(coop), 3)
        with CaptureQueriesContext(connection) as captured:
            assert "fill one load" in text_of(as_member.get(address)) or more == 2
        counts.append(len(captured))
    assert counts[0] == counts[1]
