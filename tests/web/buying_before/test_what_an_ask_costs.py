"""What an ask would cost stands beside it, and the prices stand before the form."""

import pytest
from bs4 import BeautifulSoup
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.buying.models import Buy
from tests.web.buy_factories import make_ask, make_buy, the_line
from tests.web.factories import make_farm, make_household, make_offer

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def buy(coop, coordinator, household, other_household):
    """105 lb asked of bushels of 35 lb at $24: 70 lb by one household, 35 lb by the other."""
    buy = make_buy(coop, coordinator=coordinator)
    make_ask(the_line(buy), household, 700)
    make_ask(the_line(buy), other_household, 350)
    return buy


def page_of(client, name, *parts, coop):
    answer = client.get(reverse(f"buying:{name}", args=[coop.slug, *parts]))
    return BeautifulSoup(answer.content, "html.parser")


def test_my_line_says_what_it_comes_to_if_it_closed_now(as_member, buy, coop):
    # By hand: three bushels at $24 hold all 105 lb; two thirds of $72 are $48.
    text = page_of(as_member, "buy", buy.pk, coop=coop).get_text()
    assert "comes to about $48.00 if it closed now" in text
    asking = page_of(as_member, "ask", buy.pk, the_line(buy).pk, coop=coop).get_text()
    assert "comes to about $48.00 if it closed now" in asking


def test_whoever_asks_for_nothing_reads_no_sum(as_coordinator, buy, coop, coordinator):
    the_line(buy).asks.filter(household=coordinator.household).update(wanted=0)
    assert "if it closed now" not in page_of(as_coordinator, "buy", buy.pk, coop=coop).get_text()


def test_after_the_close_nothing_is_said_of_closing_now(as_member, buy, coop):
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.CALLED_IN)
    assert "if it closed now" not in page_of(as_member, "buy", buy.pk, coop=coop).get_text()


def test_the_prices_stand_before_the_form(as_member, buy, coop):
    page = page_of(as_member, "ask", buy.pk, the_line(buy).pk, coop=coop).find("main")
    prices = page.find("h2", string="What it comes in")
    form = page.find("input", {"name": "wanted"}).find_parent("form")
    assert "$24.00" in prices.find_parent("section").get_text()
    assert form in prices.find_all_next("form")


def test_twice_the_lines_and_asks_ask_no_more_queries(as_member, coop, coordinator, household):
    counts = set()
    for size in (2, 4):
        offers = [make_offer(make_farm(coop), f"Squash {each}") for each in range(size)]
        buy = make_buy(coop, coordinator=coordinator, offers=offers)
        for line in buy.lines.all():
            make_ask(line, household, 350)
            make_ask(line, make_household(coop), 350)
        with CaptureQueriesContext(connection) as queries:
            page = page_of(as_member, "buy", buy.pk, coop=coop)
        assert page.get_text().count("if it closed now") == size
        counts.add(len(queries))
    assert len(counts) == 1
