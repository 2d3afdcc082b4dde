"""Whom a buy and a thing concern."""

from datetime import timedelta

import pytest

from coop.buying.models import Buy, Share
from coop.notices.circles import concern_for, declare, known
from tests.web import buy_factories, equipment_factories, factories
from tests.web.factories import NOW

pytestmark = pytest.mark.django_db


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


def test_the_name_of_a_circle_is_used_once():
    assert known() >= {"buy", "thing"}
    with pytest.raises(ValueError, match="buy"):
        declare("buy", lambda member, pk: None)
