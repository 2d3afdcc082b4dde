"""From a published share to a printed kitchen card, borrowed jars, a lot, its label and its trace.

Three people sit at pages of their own. Each number is held against the published tables, read and
reckoned anew: see `by_the_tables`.
"""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.browser import pages
from tests.browser import steps_to_the_jars as steps
from tests.browser.conftest import DESK, PHONE
from tests.browser.story import PASSWORD
from tests.browser.test_paper import pages_in
from tests.web import buy_factories, factories

# One story runs on both databases: that of the whole buy.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def story(live_server, new_page) -> steps.Kept:
    """A divided buy; its coordinator, and two of its households, have signed in."""
    coop = factories.make_coop("Cottonwood Larder")
    people = {name: _member(coop, name) for name in (steps.COORDINATOR, steps.COOK, steps.LENDER)}
    _divide_corn(coop, people)
    found = steps.Kept(coop, {})
    for name, member in people.items():
        found.at[name] = new_page(width=DESK if name == steps.COORDINATOR else PHONE)
        pages.SignIn(found.at[name]).by_password(member.user.email, PASSWORD)
    return found


def _member(coop, name):
    roles = ["coordinator"] if name == steps.COORDINATOR else []
    user = factories.make_user(f"Kim {name}", password=PASSWORD)
    return factories.make_member(factories.make_household(coop, name), roles=roles, user=user)


def _divide_corn(coop, people):
    """Published shares of corn, of which the cook's has been fetched."""
    now = datetime.now(ZoneInfo(coop.time_zone))
    offer = factories.make_offer(factories.make_farm(coop, steps.FARM), steps.PRODUCE)
    shares = {people[steps.COOK].household: steps.SHARE * 10, people[steps.LENDER].household: 350}
    buy_factories.make_divided_buy(
        coop, title=steps.BUY, coordinator=people[steps.COORDINATOR], offers=[offer],
        shares=shares, asks_close_at=now - timedelta(days=3), pickup_from=now - timedelta(days=1),
        pickup_to=now - timedelta(hours=20),
    )  # fmt: skip


def test_from_a_share_to_a_jar_and_back(story):
    steps.the_coordinator_adds_a_kitchen_up_the_hill(story)
    steps.the_lender_counts_what_it_can_spare(story)
    steps.the_cook_plans_the_share(story)
    steps.its_quarts_are_those_of_the_published_tables(story)
    steps.the_rest_is_frozen(story)
    steps.the_cook_borrows_the_jars_that_it_lacks(story)
    steps.the_lender_says_yes_and_hands_them_over(story)
    steps.the_plan_lacks_nothing_now(story)
    assert pages_in(steps.the_kitchen_card_says_it_all(story)) in {1, 2}
    steps.a_load_is_written_down(story)
    steps.one_seal_failed(story)
    assert pages_in(steps.the_labels_are_printed(story)) == 1
    steps.its_jar_is_traced_to_the_farm(story)
