"""Farms and price lists: who keeps them, and what a change reaches."""

import pytest
from django.http import Http404

from coop.buying.actions.farms import (
    FarmTerms,
    OfferTerms,
    add_farm,
    add_offer,
    change_farm,
    change_offer,
    restore_farm,
    retire_farm,
    retire_offer,
    terms_of,
)
from coop.buying.errors import NotAllowed, Refused
from coop.buying.models import Offer
from coop.buying.queries.farms import farm_for, farms_in, open_offers_in
from coop.people.changes import changes_of
from tests.web.buy_factories import make_buy, the_supply
from tests.web.factories import make_farm, make_offer

CORN = OfferTerms("Sweet corn", "bushel", "weight", 350, ((1, 2400), (6, 2100)))


def test_a_coordinator_puts_a_farm_on_the_list_with_its_account(coordinator):
    farm = add_farm(FarmTerms("Fennick farm", round_trip_miles=42), by=coordinator)
    assert farm.account.name == "Fennick farm"
    assert farm.account.kind == "farm"
    assert [change.sentence for change in changes_of(coordinator.coop, farm)] == ["Put on the list"]


@pytest.mark.parametrize("name", ["Fennick farm", "FENNICK FARM"])
def test_two_farms_of_one_name_are_refused_at_the_name(coordinator, name):
    add_farm(FarmTerms("Fennick farm"), by=coordinator)
    with pytest.raises(Refused) as refusal:
        add_farm(FarmTerms(name), by=coordinator)
    assert refusal.value.field == "name"
    assert farms_in(coordinator.coop).count() == 1


def test_another_coop_may_know_a_farm_of_the_same_name(coordinator, outsider):
    add_farm(FarmTerms("Fennick farm"), by=coordinator)
    assert add_farm(FarmTerms("Fennick farm"), by=outsider).coop == outsider.coop


def test_renaming_a_farm_renames_its_account(coordinator):
    farm = make_farm(coordinator.coop, "Fennick farm")
    change_farm(farm.pk, FarmTerms("Fennick and daughters"), by=coordinator)
    assert farm_for(coordinator, farm.pk).account.name == "Fennick and daughters"


def test_a_member_without_the_role_keeps_no_price_list(member):
    farm = make_farm(member.coop)
    for act in (
        lambda: add_farm(FarmTerms("Other"), by=member),
        lambda: retire_farm(farm.pk, by=member),
        lambda: add_offer(farm.pk, CORN, by=member),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_another_coops_farm_is_absent(outsider, coop):
    with pytest.raises(Http404):
        change_farm(make_farm(coop).pk, FarmTerms("Mine"), by=outsider)


def test_an_offer_keeps_its_price_breaks(coordinator):
    offer = add_offer(make_farm(coordinator.coop).pk, CORN, by=coordinator)
    assert terms_of(Offer.objects.get(pk=offer.pk)) == CORN


@pytest.mark.parametrize(
    "prices", [(), ((2, 900),), ((1, 900), (1, 800)), ((1, 9), (5, 8), (3, 7))]
)
def test_prices_that_make_no_list_are_refused(coordinator, prices):
    terms = OfferTerms("Sweet corn", "bushel", "weight", 350, prices)
    with pytest.raises(Refused):
        add_offer(make_farm(coordinator.coop).pk, terms, by=coordinator)
    assert not Offer.objects.exists()


def test_a_changed_price_list_does_not_reach_a_buy_that_was_posted(coordinator):
    offer = make_offer(make_farm(coordinator.coop))
    buy = make_buy(coordinator=coordinator, offers=[offer])
    dearer = OfferTerms("Sweet corn", "bushel", "weight", 330, ((1, 9900),))
    change_offer(offer.farm_id, offer.pk, dearer, by=coordinator)
    supply = the_supply(buy)
    assert supply.size == 350
    assert [price.cents_each for price in supply.prices.all()] == [2400, 2100]


def test_what_is_off_the_list_is_offered_no_more(coordinator):
    farm = make_farm(coordinator.coop)
    offers = [make_offer(farm), make_offer(farm, "Peaches")]
    retire_offer(farm.pk, offers[0].pk, by=coordinator)
    assert list(open_offers_in(coordinator.coop)) == offers[1:]
    retire_farm(farm.pk, by=coordinator)
    assert not open_offers_in(coordinator.coop)
    restore_farm(farm.pk, by=coordinator)
    assert list(open_offers_in(coordinator.coop)) == offers[1:]


@pytest.mark.sqlite  # as many queries on any database
def test_the_list_of_farms_takes_the_same_queries_for_20_as_for_10(
    coordinator, django_assert_num_queries
):
    for rows in (10, 10):
        for _ in range(rows):
            make_offer(make_farm(coordinator.coop))
        with django_assert_num_queries(1):
            assert all(farm.open_offers == 1 for farm in farms_in(coordinator.coop))
    assert farms_in(coordinator.coop).count() == 20
