"""The page of a buy after its division: what I get, what it costs me, and what still waits."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.actions.charges import charge_produce
from coop.buying.actions.farm_payments import pay_farm
from coop.buying.models import Farm, Share, Spare, SpareClaim
from tests.web import buy_factories as rows
from tests.web import factories
from tests.web.money import books

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def divided_short(coordinator, household, other_household):
    """49 lb of 52.5 lb asked to one household, 21 lb of 22.5 lb to the other; a bill of $35."""
    asks = {household: 525, other_household: 225}
    buy = rows.make_collected_buy(coordinator.coop, coordinator=coordinator, asks=asks, gross=700)
    rows.make_division(rows.the_line(buy), {household: 490, other_household: 210})
    buy.stage = buy.Stage.DIVIDED
    buy.save(update_fields=["stage"])
    books.bill(buy, 3500)
    return buy


@pytest.fixture
def settled(divided_short, coordinator):
    """The same, charged, and its farm paid."""
    charge_produce(divided_short, by=coordinator)
    pay_farm(
        divided_short,
        Farm.objects.get(),
        3500,
        payer=books.account(divided_short.coop),
        by=coordinator,
    )
    return divided_short


@pytest.fixture
def told(at):
    """What the page of a buy tells a client."""

    def text_for(client, buy):
        page = client.get(at("buy", buy.pk)).content.decode()
        return page.replace("\N{NO-BREAK SPACE}", " ").replace("<strong>", "")

    return text_for


def test_a_household_reads_what_it_gets_of_what_it_asked(as_member, divided_short, told):
    text = told(as_member, divided_short)
    assert "You get 49 lb</strong> of the 52.5 lb you asked for" in text
    assert "costs you" not in text


def test_once_charged_it_reads_what_the_produce_costs_it(as_member, settled, told):
    # By hand: 49 of 70 lb, so 7/10 of $35.00.
    text = told(as_member, settled)
    assert 'The produce costs you <span class="money">$24.50</span>' in text


def test_whoever_got_none_reads_so(as_member, divided_short, told):
    Share.objects.update(amount=0)
    assert "You get none</strong> of the 52.5 lb" in told(as_member, divided_short)


def test_what_it_took_from_the_spare_table_stands_there_too(as_member, member, household, told):
    buy = rows.make_divided_buy(member.coop, asks={factories.make_household(member.coop): 350})
    division = rows.the_line(buy).divisions.get()
    spare = Spare.objects.create(division=division, amount=50)
    SpareClaim.objects.create(spare=spare, household=household, amount=20, by=member)
    assert "You took 2 lb from the spare table" in told(as_member, buy)


def test_fetch_your_share_goes_once_it_is_fetched(as_member, household, divided_short, told):
    assert "Fetch your share" in told(as_member, divided_short)
    Share.objects.filter(household=household).update(fetched_at=factories.NOW)
    assert "Fetch your share" not in told(as_member, divided_short)
    assert "You got 49 lb" in told(as_member, divided_short)


def test_the_coordinator_charges_and_pays_first(as_coordinator, coordinator, divided_short, told):
    assert "Charge and settle" in told(as_coordinator, divided_short)
    charge_produce(divided_short, by=coordinator)
    assert "Charge and settle" in told(as_coordinator, divided_short)


def test_then_waits_for_whoever_is_still_to_fetch(as_coordinator, household, settled, told):
    text = told(as_coordinator, settled)
    assert "Charge and settle" not in text
    assert "2 households still to fetch" in text
    Share.objects.filter(household=household).update(fetched_at=factories.NOW)
    assert "1 household still to fetch" in told(as_coordinator, settled)


def test_then_for_the_treasurer(as_coordinator, settled, told):
    Share.objects.update(fetched_at=factories.NOW)
    text = told(as_coordinator, settled)
    assert "Waiting for the treasurer to square up" in text
    assert f'href="/{settled.coop.slug}/money/"' in text


def test_twice_the_households_ask_no_more_queries(as_coordinator, coordinator, coop, at):
    counts = set()
    for count in (10, 20):
        homes = [factories.make_household(coop) for _ in range(count)]
        buy = rows.make_divided_buy(coop, coordinator=coordinator, shares=dict.fromkeys(homes, 350))
        charge_produce(buy, by=coordinator)
        with CaptureQueriesContext(connection) as queries:
            answer = as_coordinator.get(at("buy", buy.pk))
        assert sum(home.name in answer.content.decode() for home in homes) == count
        counts.add(len(queries))
    assert len(counts) == 1
