"""Whom a buy and a thing concern."""

from datetime import timedelta

import pytest
from django.http import Http404
from django.urls import reverse

from coop.buying.models import Buy, Share
from coop.notices.circles import concern_for, declare, known
from tests.web import buy_factories, equipment_factories, factories
from tests.web.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward(household):
    return factories.make_member(household, steward=True)


def parts(member, circle, pk):
    """The households of each part, by its code."""
    return {part.code: part.households for part in concern_for(member, circle, pk).parts()}


def test_a_buy_that_takes_asks_concerns_everybody_and_who_has_not_answered(
    coordinator, household, other_household
):
    buy = buy_factories.make_buy(coordinator=coordinator)
    line = buy_factories.the_line(buy)
    buy_factories.make_ask(line, household)
    buy_factories.make_ask(line, other_household, 0)  # given up: an answer, and no ask
    factories.make_household(buy.coop, left_at=NOW)
    assert parts(coordinator, "buy", buy.pk) == {
        "everybody": {household.pk, other_household.pk, coordinator.household_id},
        "unanswered": {coordinator.household_id},
        "asked": {household.pk},
    }


def test_once_closed_a_buy_concerns_who_asked(coordinator, household, clock):
    buy = buy_factories.make_buy(coordinator=coordinator)
    buy_factories.make_ask(buy_factories.the_line(buy), household)
    clock.shift(timedelta(hours=37))
    assert parts(coordinator, "buy", buy.pk) == {"asked": {household.pk}}


def test_a_divided_buy_concerns_who_has_a_share_and_who_has_not_fetched_it(
    coordinator, household, other_household
):
    buy = buy_factories.make_divided_buy(
        coordinator=coordinator, asks={household: 100, other_household: 100}
    )
    assert buy.stage == Buy.Stage.DIVIDED
    Share.objects.filter(household=household).update(fetched_at=NOW, ticked_by=coordinator)
    found = parts(coordinator, "buy", buy.pk)
    assert found["sharing"] == {household.pk, other_household.pk}
    assert found["to_fetch"] == {other_household.pk}


def test_a_thing_concerns_who_has_it_coming_who_stands_by_and_who_had_it(
    coordinator, household, other_household
):
    thing = equipment_factories.make_thing(coordinator.coop)
    equipment_factories.make_booking(thing, household)
    past = equipment_factories.make_booking(
        thing, coordinator.household, start=NOW - timedelta(days=9)
    )
    equipment_factories.make_out(past)
    equipment_factories.make_back(past)
    equipment_factories.make_standby(thing, other_household)
    assert parts(coordinator, "thing", thing.pk) == {
        "both": {household.pk, other_household.pk},
        "coming": {household.pk},
        "standing_by": {other_household.pk},
        "had": {coordinator.household_id},
    }


def test_a_kind_of_things_concerns_who_has_any_of_them_coming(
    coordinator, coop, household, other_household, treasurer
):
    for home in (household, other_household):
        equipment_factories.make_booking(equipment_factories.make_thing(coop), home)
    burner = equipment_factories.make_thing(coop, kind="burner")
    equipment_factories.make_booking(burner, treasurer.household)
    circle = f"things-{equipment_factories.make_thing(coop).kind}"
    assert parts(coordinator, circle, coop.pk)["coming"] == {household.pk, other_household.pk}
    assert parts(coordinator, "things-burner", coop.pk)["coming"] == {treasurer.household_id}
    assert all(not homes for homes in parts(coordinator, "things-mill", coop.pk).values())
    assert concern_for(coordinator, "things-burner", coop.pk).title == "Burners"


def test_only_who_looks_after_all_things_writes_about_a_kind_and_only_in_their_co_op(
    coop, steward, coordinator, member, outsider
):
    may = {
        who: concern_for(who, "things-burner", coop.pk).may_write
        for who in (steward, coordinator, member)
    }
    assert may == {steward: True, coordinator: True, member: False}
    with pytest.raises(Http404):
        concern_for(outsider, "things-burner", coop.pk)


@pytest.mark.sqlite
def test_the_list_of_a_kind_leads_a_steward_to_writing(coop, sign_in, steward, as_member):
    thing = equipment_factories.make_thing(coop)
    page = reverse("equipment:things", args=[coop.slug]) + f"?kind={thing.kind}"
    write = reverse("notices:write", args=[coop.slug, f"things-{thing.kind}", coop.pk])
    assert write in sign_in(steward).get(page).content.decode()
    assert write not in as_member.get(page).content.decode()


def test_the_name_of_a_circle_is_used_once():
    assert known() >= {"buy", "thing"}
    with pytest.raises(ValueError, match="buy"):
        declare("buy", lambda member, pk: None)
