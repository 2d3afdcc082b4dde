"""A buy is posted with its rules, and the rules stay once somebody accepted them."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.http import Http404

from coop.buying.actions.buys import BuyPlan, BuyRules, change_buy, plan_of, post_buy, rules_of
from coop.buying.actions.lines import add_line, remove_line
from coop.buying.errors import NotAllowed, Refused, TooLate, WrongStage
from coop.buying.models import Buy
from tests.web.buy_factories import make_ask, make_buy, make_divided_buy, make_tally, the_line
from tests.web.factories import NOW, make_farm, make_household, make_offer

PLAN = BuyPlan(
    "Sweet corn",
    asks_close_at=NOW + timedelta(days=1),
    pickup_place="The barn",
    pickup_from=NOW + timedelta(days=2),
    pickup_to=NOW + timedelta(days=2, hours=2),
)


def refused_at(act):
    with pytest.raises(Refused) as refusal:
        act()
    return refusal.value.field


def test_a_buy_is_posted_with_its_account_and_led_by_who_posts_it(coordinator):
    buy = post_buy(PLAN, BuyRules(), by=coordinator)
    assert (buy.stage, buy.coordinator, buy.account.kind) == ("asking", coordinator, "buy")


def test_a_member_without_the_role_posts_no_buy(member):
    with pytest.raises(NotAllowed):
        post_buy(PLAN, BuyRules(), by=member)
    assert not Buy.objects.exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"asks_close_at": NOW}, "asks_close_at"),
        ({"pickup_from": NOW + timedelta(hours=1)}, "pickup_from"),
        ({"pickup_to": NOW + timedelta(days=2)}, "pickup_to"),
    ],
)
def test_times_that_cannot_be_are_refused_at_their_field(coordinator, change, field):
    assert (
        refused_at(lambda: post_buy(replace(PLAN, **change), BuyRules(), by=coordinator)) == field
    )


def test_a_fronted_buy_names_who_and_how_much(coordinator, outsider):
    def post(**rules):
        return post_buy(PLAN, BuyRules(cover=Buy.Cover.FRONTED, **rules), by=coordinator)

    ours, theirs = coordinator.household, outsider.household
    assert refused_at(lambda: post(front_limit_cents=5000)) == "fronted_by"
    assert refused_at(lambda: post(fronted_by=theirs, front_limit_cents=1)) == "fronted_by"
    assert refused_at(lambda: post(fronted_by=ours)) == "front_limit_cents"
    assert post(fronted_by=ours, front_limit_cents=5000).fronted_by == ours


def test_rules_change_until_the_first_ask_and_no_more_after(coordinator):
    buy = make_buy(coordinator=coordinator)
    change_buy(buy.pk, plan_of(buy), replace(rules_of(buy), grace_minutes=45), by=coordinator)
    make_ask(the_line(buy))
    buy.refresh_from_db()
    with pytest.raises(Refused, match="accepted with the first ask"):
        change_buy(buy.pk, plan_of(buy), replace(rules_of(buy), grace_minutes=5), by=coordinator)
    moved = replace(plan_of(buy), pickup_place="The church hall")
    assert (
        change_buy(buy.pk, moved, rules_of(buy), by=coordinator).pickup_place == moved.pickup_place
    )
    assert Buy.objects.get().grace_minutes == 45


def test_who_leads_a_buy_may_change_it_and_others_may_not(member, other_household_member):
    buy = make_buy(coordinator=member)
    change_buy(buy.pk, replace(plan_of(buy), title="Corn"), rules_of(buy), by=member)
    buy.refresh_from_db()
    assert buy.title == buy.account.name == "Corn"
    with pytest.raises(NotAllowed):
        change_buy(buy.pk, plan_of(buy), rules_of(buy), by=other_household_member)


def test_another_coops_buy_is_absent(outsider, coop):
    buy = make_buy(coop)
    with pytest.raises(Http404):
        change_buy(buy.pk, plan_of(buy), rules_of(buy), by=outsider)


def test_a_divided_buy_changes_no_more(coordinator):
    buy = make_divided_buy(coordinator=coordinator)
    with pytest.raises(WrongStage):
        change_buy(buy.pk, replace(plan_of(buy), title="Corn"), rules_of(buy), by=coordinator)


# ---- lines ----------------------------------------------------------------------------------
def test_a_line_draws_on_several_farms_on_their_terms(coordinator):
    buy = make_buy(coordinator=coordinator, offers=())
    offers = [make_offer(make_farm(buy.coop, round_trip_miles=miles)) for miles in (30, 50)]
    line = add_line(buy.pk, [offer.pk for offer in offers], by=coordinator)
    # 70 cents a mile, by the co-op's settings in the factory.
    assert [supply.trip_cents for supply in line.supplies.all()] == [2100, 3500]
    assert (line.produce, line.step) == ("Sweet corn", buy.coop.division_step_tenths)


def test_weight_and_count_do_not_share_a_line(coordinator):
    buy, farm = make_buy(coordinator=coordinator, offers=()), make_farm(coordinator.coop)
    offers = [make_offer(farm), make_offer(farm, measure="count", container="dozen", size=12)]
    assert refused_at(lambda: add_line(buy.pk, [o.pk for o in offers], by=coordinator)) == "offers"


def test_another_coops_offer_cannot_be_put_in(coordinator, other_coop):
    theirs = make_offer(make_farm(other_coop))
    buy = make_buy(coordinator=coordinator, offers=())
    assert refused_at(lambda: add_line(buy.pk, [theirs.pk], by=coordinator)) == "offers"


def test_the_same_produce_twice_is_refused_at_its_name(coordinator):
    buy = make_buy(coordinator=coordinator)
    offer = make_offer(make_farm(buy.coop))
    assert refused_at(lambda: add_line(buy.pk, [offer.pk], by=coordinator)) == "produce"
    assert buy.lines.count() == 1


def test_a_line_that_is_asked_for_stays(coordinator):
    buy = make_buy(coordinator=coordinator)
    line = the_line(buy)
    ask = make_ask(line)
    with pytest.raises(Refused):
        remove_line(buy.pk, line.pk, by=coordinator)
    ask.wanted = ask.at_least = 0
    ask.save()
    remove_line(buy.pk, line.pk, by=coordinator)
    with pytest.raises(TooLate):
        remove_line(buy.pk, line.pk, by=coordinator)
    assert not buy.lines.exists()


def test_a_line_with_a_tally_stays_in_the_history(coordinator):
    buy = make_buy(coordinator=coordinator)
    make_tally(the_line(buy).supplies.get(), containers=1, by=coordinator)
    with pytest.raises(Refused, match="history"):
        remove_line(buy.pk, the_line(buy).pk, by=coordinator)
    assert buy.lines.exists()


def test_the_household_that_fronts_may_be_any_of_the_coop(coordinator):
    fronting = make_household(coordinator.coop)
    rules = BuyRules(cover=Buy.Cover.FRONTED, fronted_by=fronting, front_limit_cents=0)
    assert post_buy(PLAN, rules, by=coordinator).front_limit_cents == 0
