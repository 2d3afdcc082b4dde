"""A plan's page; changing and dropping it; what its kitchen's altitude does to it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Share
from coop.kitchen.models import Outcome
from coop.people.models import Change
from coop.people.week import week_of
from tests.web.buy_factories import make_divided_buy
from tests.web.factories import NOW, make_farm, make_household, make_member, make_offer
from tests.web.kitchen_factories import (
    make_count,
    make_kitchen,
    make_lot,
    make_outcome,
    make_plan,
    make_use,
)
from tests.web.reading import main_of, text_of


@pytest.fixture
def plan(household, coop):
    """Two bushels of corn at 4,680 ft, where nobody has said yet what is made of them."""
    coop.altitude_ft = 4680
    coop.save()
    return make_plan(household)


def page_of(client, plan):
    return client.get(f"/cottonwood/plans/{plan.pk}/")


def typed(**fields):
    return {"produce": "sweet_corn", "pounds": "70", "kitchen": "", "farm": "", "note": ""} | fields


# ---- The page -------------------------------------------------------------------------------
def test_a_plan_without_uses_leads_to_the_published_ways(as_member, plan):
    page = main_of(page_of(as_member, plan))
    assert page.select_one(f"a.button-main[href='/cottonwood/plans/{plan.pk}/uses/']")


def test_the_plate_says_jars_minutes_pressure_and_how_full_the_last_load_is(as_member, plan):
    make_use(plan, 700)
    said = text_of(page_of(as_member, plan))
    # USDA Complete Guide to Home Canning, 2015: see test_figures.
    assert "15 quarts, likely 12 to 22 by the published yields" in said
    assert "85 min at 13 psi at 4,680 ft, the row for 4,001 to 6,000 ft" in said
    assert "3 loads of 7" in said
    assert "Load 3 holds 1 of 7: about 24.5 lb more would fill it" in said
    assert "put up 1 jar fewer to save a load" in said
    assert "Headspace 1 in" in said
    assert "10 minutes of full steam" in said
    assert "Complete Guide to Home Canning" in said


def test_what_is_left_and_what_is_too_much(as_member, plan):
    make_use(plan, 350)
    assert "35 lb not planned yet" in text_of(page_of(as_member, plan))
    make_use(plan, 400, way="freeze")
    said = text_of(page_of(as_member, plan))
    assert "5 lb more planned than there is" in said
    assert "75 lb of 70 lb" in said


def test_what_the_household_lacks_leads_to_who_has_spares(as_member, household, plan):
    make_count(household, {"quart_regular": (0, 10, 0)}, lids={"regular": (20, 20)})
    make_use(plan, 700)
    page = page_of(as_member, plan)
    assert "You lack jars, lids or bands" in text_of(page)
    assert main_of(page).select_one("a[href='/cottonwood/jars/spare/?kind=quart_regular']")


def test_who_never_counted_is_asked_to_count(as_member, plan):
    make_use(plan)
    page = page_of(as_member, plan)
    assert "has not counted its jars yet" in text_of(page)
    assert main_of(page).select_one("a[href='/cottonwood/jars/count/']")


def test_our_own_batches_stand_beside_the_published_yield(as_member, household, plan):
    before = make_use(make_plan(household), 350)
    make_outcome(before, 350, 9)
    make_use(plan, 700)
    said = text_of(page_of(as_member, plan))
    assert "12 to 22 by the published yields" in said
    assert "Our own batches: 9 quarts of a bushel of 35 lb (1 batch)" in said
    assert "70 lb would give about 18" in said


def test_others_may_read_the_plan_and_find_no_buttons(as_other_household_member, plan):
    use = make_use(plan)
    page = main_of(page_of(as_other_household_member, plan))
    assert "Whole kernel, canned" in page.text
    assert not page.select(f"a[href^='/cottonwood/uses/{use.pk}/'], form")


@pytest.mark.sqlite  # as many queries on any database
def test_the_page_asks_the_database_the_same_for_one_use_and_for_many(as_member, plan):
    counts = []
    for more in (1, 5):
        for _ in range(more):
            make_outcome(make_use(plan, 50))
        with CaptureQueriesContext(connection) as queries:
            page = page_of(as_member, plan)
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert len(main_of(page).select("section[id^='use-']")) == 6


@pytest.mark.parametrize("end", ("", "edit/", "drop/", "card/", "uses/", "uses/add/"))
def test_another_coops_plan_is_404(as_member, other_coop, end):
    theirs = make_plan(make_household(other_coop))
    assert as_member.get(f"/cottonwood/plans/{theirs.pk}/{end}").status_code == 404


# ---- Changing -------------------------------------------------------------------------------
def test_other_pounds_and_another_farm(as_member, plan, coop):
    farm = make_farm(coop)
    answer = as_member.post(
        f"/cottonwood/plans/{plan.pk}/edit/", typed(pounds="62.5", farm=farm.pk)
    )
    plan.refresh_from_db()
    assert answer.url == f"/cottonwood/plans/{plan.pk}/"
    assert (plan.tenths, plan.farm) == (625, farm)
    assert "62.5 lb" in Change.objects.filter(about=f"plan:{plan.pk}").latest("pk").sentence


def test_a_kitchen_where_the_table_ends_shows_plain_words_and_no_minutes(as_member, plan, coop):
    make_use(plan, 700)
    high = make_kitchen(coop, "The high cabin", altitude_ft=8001)
    as_member.post(f"/cottonwood/plans/{plan.pk}/edit/", typed(kitchen=high.pk))
    said = text_of(page_of(as_member, plan))
    assert "Do not can it this way here" in said
    assert "the published table for it ends at 8,000 ft" in said
    assert "85 min at 13 psi" not in said
    assert "extension office" in said


def test_a_retired_kitchen_stays_a_choice_of_its_plan_alone(as_member, household, coop, plan):
    old = make_kitchen(coop, "The old hall", retired_at=NOW)
    with_it = make_plan(household, kitchen=old)
    address = "/cottonwood/plans/{}/edit/"
    assert "The old hall" in text_of(as_member.get(address.format(with_it.pk)))
    assert "The old hall" not in text_of(as_member.get(address.format(plan.pk)))


def test_the_produce_changes_only_while_nothing_is_made_of_it(as_member, plan):
    address = f"/cottonwood/plans/{plan.pk}/edit/"
    as_member.post(address, typed(produce="peaches"))
    plan.refresh_from_db()
    assert plan.produce == "peaches"
    use = make_use(plan, product="halved_or_sliced", method="boiling_water")
    answer = as_member.post(address, typed())
    assert answer.status_code == 422
    assert "Remove its uses first" in text_of(answer)
    assert use.plan.produce == "peaches"


@pytest.mark.parametrize("end", ("edit/", "drop/"))
def test_others_cannot_change_or_drop_it(as_other_household_member, plan, end):
    address = f"/cottonwood/plans/{plan.pk}/{end}"
    assert as_other_household_member.get(address).status_code == 403
    assert as_other_household_member.post(address, typed()).status_code == 403
    plan.refresh_from_db()
    assert (plan.tenths, plan.dropped_at) == (700, None)


def test_a_coordinator_changes_it_on_their_behalf(as_coordinator, plan):
    as_coordinator.post(f"/cottonwood/plans/{plan.pk}/edit/", typed(pounds="50"))
    plan.refresh_from_db()
    assert plan.tenths == 500


# ---- Dropping -------------------------------------------------------------------------------
def test_a_dropped_plan_leaves_the_list_and_lets_go_of_its_share(as_member, household, coop):
    buy = make_divided_buy(coop, shares={household: 700})
    share = Share.objects.get(division__line__buy=buy)
    plan = make_plan(household, share=share)
    assert as_member.get(f"/cottonwood/plans/{plan.pk}/drop/").status_code == 200
    as_member.post(f"/cottonwood/plans/{plan.pk}/drop/")
    plan.refresh_from_db()
    assert plan.dropped_at
    assert f"?share={share.pk}" in as_member.get("/cottonwood/plans/").content.decode()
    assert "Dropped" in text_of(page_of(as_member, plan))
    assert Change.objects.filter(about=f"plan:{plan.pk}").latest("pk").before == {"share": share.pk}


def test_a_second_drop_and_a_change_after_it_are_too_late(as_member, plan):
    address = f"/cottonwood/plans/{plan.pk}/"
    as_member.post(f"{address}drop/")
    assert as_member.post(f"{address}drop/").status_code == 409
    assert as_member.post(f"{address}edit/", typed()).status_code == 409


@pytest.mark.parametrize("stays", ("put up", "in jars"))
def test_what_was_put_up_is_not_dropped(as_member, household, plan, stays):
    use = make_use(plan)
    if stays == "put up":
        make_outcome(use)
    else:
        make_lot(household, use=use)
    answer = as_member.post(f"/cottonwood/plans/{plan.pk}/drop/")
    assert answer.status_code == 409
    plan.refresh_from_db()
    assert plan.dropped_at is None
    assert Outcome.objects.count() == (stays == "put up")


# ---- This week ------------------------------------------------------------------------------
def due_of(member, now=NOW):
    return [due.about for due in week_of(member, now).due if "kitchen/plans" in due.template]


def fetched(household, produce="Sweet corn", ago=timedelta(days=1)):
    offers = [make_offer(make_farm(household.coop), produce)]
    buy = make_divided_buy(household.coop, shares={household: 700}, offers=offers)
    share = Share.objects.get(division__line__buy=buy)
    share.fetched_at = NOW - ago
    share.save()
    return share


def test_a_fetched_share_is_due_for_fourteen_days_until_it_is_planned(member, as_member):
    share = fetched(member.household)
    assert due_of(member) == [share]
    assert week_of(member, NOW).due[-1].about == share  # after whatever is more pressing
    assert (
        f"/cottonwood/plans/new/?share={share.pk}" in as_member.get("/cottonwood/").content.decode()
    )
    assert due_of(member, NOW + timedelta(days=13)) == []
    make_plan(member.household, share=share)
    assert due_of(member) == []


def test_what_no_table_knows_and_what_is_not_fetched_is_not_due(member):
    fetched(member.household, "Lettuce")
    make_divided_buy(member.coop, shares={member.household: 700})
    assert due_of(member) == []
    assert due_of(make_member(make_household(member.coop))) == []
