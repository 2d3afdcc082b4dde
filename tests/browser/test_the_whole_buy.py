"""One buy from the first ask to the last cent, as nine households live it at pages of their own.

Every number on the way is held against sums by hand: see `corn` and `by_hand`.
"""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import connection

from tests.browser import corn, pages
from tests.browser import steps_of_the_costs as costs
from tests.browser import steps_to_the_call_in as before
from tests.browser import steps_to_the_last_cent as last
from tests.browser import steps_to_the_shares as barn
from tests.browser.conftest import DESK, PHONE
from tests.browser.story import PASSWORD, Story, member_of, play_the_season_so_far
from tests.web import factories

pytestmark = pytest.mark.either


@pytest.fixture
def services(request, settings, db) -> None:
    """On PostgreSQL the cache stands in Redis, as where a site is spread over machines."""
    if connection.vendor == "postgresql":
        backend = "django.core.cache.backends.redis.RedisCache"
        url = request.getfixturevalue("redis_url")
        settings.CACHES = {"default": {"BACKEND": backend, "LOCATION": url}}


@pytest.fixture
def story(services, live_server, new_page) -> Story:
    """Nine households with a season behind them, each signed in at a page of its own."""
    coop = factories.make_coop("Cottonwood Larder", trip_cents_per_mile=corn.CENTS_A_MILE)
    today = datetime.now(ZoneInfo(coop.time_zone)).replace(hour=20, minute=0, second=0)
    people = {name: member_of(coop, name) for name in corn.HOUSEHOLDS}
    found = Story(coop, {}, today.replace(microsecond=0) + timedelta(days=2))
    play_the_season_so_far(found, people)
    for name, member in people.items():
        width = DESK if name in {corn.COORDINATOR, corn.TREASURER} else PHONE
        found.at[name] = new_page(width=width)
        pages.SignIn(found.at[name]).by_password(member.user.email, PASSWORD)
    return found


def test_from_the_first_ask_to_the_last_cent(story):
    before.the_coordinator_lists_farms_and_posts_a_buy(story)
    before.nine_households_ask(story)
    before.everybody_sees_how_it_stands(story)
    before.the_lot_plans_are_the_cheapest(story)
    before.one_bushel_more_or_less_does_what_is_said(story)
    before.it_is_called_in(story)
    barn.it_comes_short(story)
    barn.every_rule_gives_what_it_should(story)
    barn.one_rule_is_published(story)
    costs.the_produce_is_charged(story)
    costs.fuel_is_charged_by_the_trip(story)
    costs.whoever_fronts_it_pays_the_farms(story)
    costs.they_come_for_it(story)
    with time_machine.travel(story.pickup + timedelta(hours=4)):
        costs.one_share_goes_to_the_spare_table_and_is_claimed(story)
        costs.not_coming_costs_what_the_buy_stated(story)
        costs.the_page_of_costs_adds_up(story)
        costs.a_pound_costs_more_than_was_promised(story)
        last.every_balance_is_as_by_hand(story)
        last.each_statement_ends_at_its_balance(story)
        last.the_fewest_payments_square_it(story)
        last.everybody_is_square(story)
