"""Planning a share or typed produce; the list of plans."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Share
from coop.kitchen.actions.plans import PlanTerms, plan_share
from coop.kitchen.errors import AlreadyPlanned
from coop.kitchen.models import Plan
from coop.people.models import Change
from tests.web.buy_factories import make_divided_buy
from tests.web.factories import make_farm, make_household, make_offer
from tests.web.kitchen_factories import make_kitchen, make_plan, make_use
from tests.web.reading import main_of, text_of

LIST = "/cottonwood/plans/"
NEW = "/cottonwood/plans/new/"


def share_of(household, amount=700, *, offers=None):
    fields = {"offers": offers} if offers else {}
    buy = make_divided_buy(household.coop, shares={household: amount}, **fields)
    return Share.objects.get(division__line__buy=buy, household=household)


def typed(**fields):
    return {"produce": "sweet_corn", "pounds": "70", "kitchen": "", "farm": "", "note": ""} | fields


def shown(response, field):
    return main_of(response).select_one(f"#id_{field}")


# ---- From a share ---------------------------------------------------------------------------
def test_a_share_of_corn_comes_with_its_pounds_its_name_and_its_farm(as_member, household, coop):
    farm = make_farm(coop, "Fennick Farm")
    share = share_of(household, 625, offers=[make_offer(farm, "Sweet corn, bicolour")])
    page = as_member.get(f"{NEW}?share={share.pk}")
    assert shown(page, "pounds")["value"] == "62.5"
    assert shown(page, "produce").select_one("[selected]")["value"] == "sweet_corn"
    assert shown(page, "farm").select_one("[selected]").text == "Fennick Farm"


def test_planning_a_share_leads_to_the_published_ways(as_member, household):
    share = share_of(household)
    answer = as_member.post(f"{NEW}?share={share.pk}", typed())
    plan = Plan.objects.get()
    assert answer.url == f"{LIST}{plan.pk}/uses/"
    assert (plan.share, plan.tenths, plan.household) == (share, 700, household)


def test_a_second_time_leads_to_the_plan_that_is_there(as_member, household):
    share = share_of(household)
    as_member.post(f"{NEW}?share={share.pk}", typed())
    for answer in (
        as_member.get(f"{NEW}?share={share.pk}"),
        as_member.post(f"{NEW}?share={share.pk}", typed()),
    ):
        assert answer.url == f"{LIST}{Plan.objects.get().pk}/"


def test_a_share_planned_meanwhile_gives_one_plan_and_says_which(member, household):
    share = share_of(household)
    terms = PlanTerms("sweet_corn", 700)
    first = plan_share(share.pk, terms, by=member)
    with pytest.raises(AlreadyPlanned) as refusal:
        plan_share(share.pk, terms, by=member)
    assert refusal.value.plan_id == first.pk
    assert Plan.objects.count() == 1


def test_a_share_by_count_asks_for_pounds(as_member, household, coop):
    ears = make_offer(make_farm(coop), "Sweet corn", measure="count", size=60)
    page = as_member.get(f"{NEW}?share={share_of(household, 60, offers=[ears]).pk}")
    assert "No stated factor leads from pieces to pounds" in text_of(page)
    assert shown(page, "pounds").get("value") is None


def test_two_farms_leave_the_farm_open(as_member, household, coop):
    offers = [make_offer(make_farm(coop)), make_offer(make_farm(coop))]
    share = share_of(household, offers=offers)
    share.division.line.supplies.update(called_in=1)
    farm = shown(as_member.get(f"{NEW}?share={share.pk}"), "farm")
    assert [option["value"] for option in farm.select("[selected]")] == [""]


def test_what_no_table_has_says_that_there_is_no_tested_process(as_member, household, coop):
    eggplant = make_offer(make_farm(coop), "Eggplant")
    page = as_member.get(f"{NEW}?share={share_of(household, offers=[eggplant]).pk}")
    said = text_of(page)
    assert "There is no tested process for Eggplant" in said
    assert "extension office" in said
    assert main_of(page).select_one("a[href='/cottonwood/tables/']")


def test_a_coordinator_plans_anybodys_share(as_coordinator, household):
    share = share_of(household)
    as_coordinator.post(f"{NEW}?share={share.pk}", typed())
    assert Plan.objects.get().household == household


def test_another_household_cannot_plan_the_share(as_other_household_member, household):
    share = share_of(household)
    for answer in (
        as_other_household_member.get(f"{NEW}?share={share.pk}"),
        as_other_household_member.post(f"{NEW}?share={share.pk}", typed()),
    ):
        assert answer.status_code == 403
    assert not Plan.objects.exists()


@pytest.mark.parametrize("number", ("999999", "none", "-1", "1" * 40, "\N{SUPERSCRIPT TWO}"))
def test_a_share_that_is_not_there_is_404(as_member, number):
    assert as_member.get(NEW, {"share": number}).status_code == 404


def test_another_coops_share_is_404(as_member, other_coop):
    share = share_of(make_household(other_coop))
    assert as_member.get(f"{NEW}?share={share.pk}").status_code == 404
    assert as_member.post(f"{NEW}?share={share.pk}", typed()).status_code == 404


def test_a_share_on_the_spare_table_is_not_planned(as_member, household):
    share = share_of(household)
    Share.objects.filter(pk=share.pk).update(released_at=share.division.published_at)
    answer = as_member.post(f"{NEW}?share={share.pk}", typed())
    assert answer.status_code == 422
    assert "Nothing of this share is left to plan" in text_of(answer)


# ---- Typed in -------------------------------------------------------------------------------
def test_typed_produce_is_planned_for_the_own_household(as_member, member):
    as_member.post(NEW, typed(household=member.household_id, pounds="17.5 lb"))
    plan = Plan.objects.get()
    assert (plan.household, plan.tenths, plan.share) == (member.household, 175, None)
    assert Change.objects.filter(about=f"plan:{plan.pk}").exists()


def test_a_member_cannot_choose_another_household(as_member, other_household):
    answer = as_member.post(NEW, typed(household=other_household.pk))
    assert answer.status_code == 422
    assert not Plan.objects.exists()


def test_a_coordinator_chooses_any_household(as_coordinator, household):
    page = as_coordinator.get(f"{NEW}?household={household.pk}")
    assert shown(page, "household").select_one("[selected]").text == "Castell"
    as_coordinator.post(NEW, typed(household=household.pk))
    assert Plan.objects.get().household == household


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"pounds": "0"}, "It cannot be less than 0.1 lb"),
        ({"pounds": "-3"}, "It cannot be less than 0.1 lb"),
        ({"pounds": "a lot"}, "Write it in figures"),
        ({"pounds": "1.25"}, "Pounds go to one decimal"),
        ({"pounds": ""}, "Write how many pounds there are"),
        ({"produce": "eggplant"}, "Select a valid choice"),
        ({"produce": ""}, "Choose what it is"),
        ({"kitchen": "999999"}, "Choose a kitchen that is offered"),
        ({"farm": "x"}, "Select a valid choice"),
        ({"note": "x" * 401}, "at most 400 characters"),
    ],
)
def test_what_is_typed_wrongly_stays_and_says_why(as_member, member, fields, said):
    answer = as_member.post(NEW, typed(household=member.household_id, **{"note": "kept"} | fields))
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert fields.get("note", "kept") in shown(answer, "note").text
    assert not Plan.objects.exists()


def test_another_coops_kitchen_and_farm_are_no_choice(as_member, member, other_coop):
    for fields in (
        {"kitchen": make_kitchen(other_coop).pk},
        {"farm": make_farm(other_coop).pk},
    ):
        answer = as_member.post(NEW, typed(household=member.household_id, **fields))
        assert answer.status_code == 422
    assert not Plan.objects.exists()


# ---- The list -------------------------------------------------------------------------------
def test_the_list_shows_what_is_not_planned_with_one_button_each(as_member, household):
    share = share_of(household)
    buttons = main_of(as_member.get(LIST)).select(f"a[href='{NEW}?share={share.pk}']")
    assert len(buttons) == 1
    make_plan(household, share=share)
    assert not main_of(as_member.get(LIST)).select(f"a[href='{NEW}?share={share.pk}']")


def test_only_coordinators_see_the_unplanned_shares_of_others(
    as_coordinator, as_other_household_member, household
):
    address = f"{NEW}?share={share_of(household).pk}"
    everybody = {"whose": "everybody"}
    assert address in as_coordinator.get(LIST, everybody).content.decode()
    assert address not in as_other_household_member.get(LIST, everybody).content.decode()


def test_ours_and_everybodys_plans(as_member, household, other_household):
    make_use(make_plan(household, tenths=700), 700)
    make_plan(other_household, "peaches", tenths=333)
    ours, all_of_them = as_member.get(LIST), as_member.get(LIST, {"whose": "everybody"})
    assert "about 15 quarts" in text_of(ours)
    assert "33.3 lb of peaches" not in text_of(ours)
    assert "33.3 lb of peaches" in text_of(all_of_them)


def test_another_coops_plans_are_nowhere(as_member, other_coop):
    make_plan(make_household(other_coop), tenths=333)
    assert "33.3 lb" not in text_of(as_member.get(LIST, {"whose": "everybody"}))


def test_an_empty_list_says_what_it_is_for(as_member):
    assert "Nothing planned yet" in text_of(as_member.get(LIST))


@pytest.mark.sqlite  # as many queries on any database
def test_a_long_list_is_paged_and_asks_no_more_of_the_database(as_member, household):
    counts = []
    for more in (5, 10):
        for _ in range(more):
            make_use(make_plan(household))
        with CaptureQueriesContext(
            connection,
        ) as queries:
            page = as_member.get(LIST)
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert len(main_of(page).select(".row-title")) == 15
    for _ in range(10):
        make_plan(household)
    assert len(main_of(as_member.get(LIST, {"page": 2})).select(".row-title")) == 5


def test_the_buy_leads_from_a_share_to_its_plan(as_member, household):
    share = share_of(household)
    page = as_member.get(f"/cottonwood/buys/{share.division.line.buy_id}/")
    assert main_of(page).select_one(f"a[href='{NEW}?share={share.pk}']")
