"""Pages after the call-in make the same number of queries for 10 households and for 20."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.actions.pay_in import take_cash
from coop.buying.models import Line, SpareClaim
from tests.web import buy_factories as rows
from tests.web import factories


def collected(coop, coordinator, count) -> Line:
    """A short buy of so many households, with as many in an earlier one."""
    households = [factories.make_household(coop) for _ in range(count)]
    asks = dict.fromkeys(households, 350)
    rows.make_divided_buy(coop, coordinator=coordinator, shares=asks)
    buy = rows.make_collected_buy(
        coop, coordinator=coordinator, asks=asks, gross=count * 300, shortage_rule="even"
    )
    return rows.the_line(buy)


def divided(coop, coordinator, count) -> Line:
    """A divided buy of so many households, each with a claim and with cash that it paid."""
    households = [factories.make_household(coop) for _ in range(count)]
    buy = rows.make_divided_buy(
        coop, coordinator=coordinator, shares=dict.fromkeys(households, 350), left_over=count * 10
    )
    line = rows.the_line(buy)
    spare = line.divisions.get().spares.get()
    for household in households:
        SpareClaim.objects.create(spare=spare, household=household, amount=5, by=coordinator)
        take_cash(buy, household, 100, by=coordinator)
    return line


PAGES: dict[str, tuple[Callable[..., Line], Callable[[Line], tuple[int, ...]]]] = {
    "divide": (collected, lambda line: (line.buy_id, line.pk)),
    "pickup": (divided, lambda line: (line.buy_id,)),
    "pickup_sheet": (divided, lambda line: (line.buy_id,)),
    "spare": (divided, lambda line: (line.buy_id,)),
}


def queries_and_page(client, page):
    """How many queries a page takes, and what it shows."""
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(page)
    assert answer.status_code == 200
    return len(queries), answer.content.decode()


@pytest.mark.sqlite  # as many queries on any database
@pytest.mark.parametrize("name", PAGES)
def test_twice_the_households_ask_no_more_queries(name, as_coordinator, coordinator, coop, at):
    make, parts = PAGES[name]
    counts = set()
    for households in (10, 20):
        line = make(coop, coordinator, households)
        count, body = queries_and_page(as_coordinator, at(name, *parts(line)))
        assert sum(ask.household.name in body for ask in line.asks.all()) == households
        counts.add(count)
    assert len(counts) == 1


@pytest.mark.sqlite  # as many queries on any database
def test_twice_the_farms_ask_no_more_queries(as_member, coordinator, coop, at):
    counts = set()
    for farms in (5, 10):
        offers = [factories.make_offer(factories.make_farm(coop)) for _ in range(farms)]
        buy = rows.make_collected_buy(coop, coordinator=coordinator, offers=offers)
        count, body = queries_and_page(as_member, at("tally", buy.pk))
        assert sum(f"Counted by {coordinator}" in part for part in body.split("<li")) >= farms
        counts.add(count)
    assert len(counts) == 1


@pytest.mark.sqlite  # as many queries on any database
def test_a_published_division_asks_no_more_queries(as_coordinator, coordinator, coop, at):
    counts = set()
    for households in (10, 20):
        line = divided(coop, coordinator, households)
        count, body = queries_and_page(as_coordinator, at("divide", line.buy_id, line.pk))
        assert body.count("bar-share") == households
        counts.add(count)
    assert len(counts) == 1
