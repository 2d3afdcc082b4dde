"""From a use of a plan one finds a time on the canner or the dryer that it wants."""

import re
from urllib.parse import parse_qs, urlsplit

import pytest
from bs4 import BeautifulSoup

from tests.web import kitchen_factories as make
from tests.web.buy_factories import make_buy
from tests.web.equipment_factories import HOUR, make_booking, make_thing
from tests.web.factories import NOW, make_household

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


def links_of(client, plan):
    page = client.get(f"/cottonwood/plans/{plan.pk}/").content
    found = BeautifulSoup(page, "html.parser").find_all("a", string=None, href=True)
    queries = [urlsplit(link["href"]) for link in found]
    return [parse_qs(each.query) for each in queries if each.path.endswith("/equipment/find/")]


def test_canning_leads_to_a_canner_of_its_gauge_for_as_long_as_its_loads_take(as_member, member):
    use = make.make_use(make.make_plan(member.household))
    (asked,) = links_of(as_member, use.plan)
    assert (asked["kind"], asked["gauge"]) == (["pressure_canner"], ["dial"])
    # Corn in quarts takes 85 minutes (USDA, Complete Guide, 2015, guide 4) and a load some more.
    assert int(asked["minutes"][0]) > 85
    assert int(asked["minutes"][0]) % 30 == 0
    assert asked["about"] == [f"plan:{use.plan_id}"]


def test_drying_leads_to_a_dryer_at_any_hour(as_member, member):
    use = make.make_use(make.make_plan(member.household), way="dry")
    (asked,) = links_of(as_member, use.plan)
    assert (asked["kind"], asked["hours"]) == (["dehydrator"], ["any"])


def test_freezing_wants_nothing_shared(as_member, member):
    use = make.make_use(make.make_plan(member.household), way="freeze")
    assert links_of(as_member, use.plan) == []


def said_of(client, plan):
    page = client.get(f"/cottonwood/plans/{plan.pk}/").content
    return " ".join(BeautifulSoup(page, "html.parser").get_text(" ").split())


def test_what_is_booked_for_a_plan_stands_on_its_page(as_member, member):
    use = make.make_use(make.make_plan(member.household))
    canner = make_thing(member.coop, name="Big Blue")
    start = NOW + 24 * HOUR
    make_booking(canner, member.household, about=f"plan:{use.plan_id}", start=start)
    make_booking(canner, about=f"plan:{use.plan_id}0", start=start + 6 * HOUR)
    said = said_of(as_member, use.plan)
    assert "Booked for it Big Blue" in said
    assert said.count("Big Blue") == 1


def test_a_time_for_a_part_of_the_loads_says_that_it_is_a_part(as_member, member):
    few, many = (
        make.make_use(make.make_plan(member.household), jars=jars, jars_per_load=7)
        for jars in (7, 112)
    )
    # 112 jars of seven a load: sixteen loads (arithmetic).
    assert re.search(r"for 8 h of the [^.]+ that all 16 loads take", said_of(as_member, many.plan))
    assert "loads take" not in said_of(as_member, few.plan)


def test_what_is_booked_for_a_buy_stands_on_its_page(as_member, member):
    buy = make_buy(member.coop)
    canner = make_thing(member.coop, name="Big Blue")
    make_booking(canner, make_household(member.coop, "Ortega"), about=f"buy:{buy.pk}")
    page = as_member.get(f"/cottonwood/buys/{buy.pk}/").content
    said = " ".join(BeautifulSoup(page, "html.parser").get_text(" ").split())
    assert "Booked for it Big Blue, Wed 12 Aug, 9:00 to 12:00 Ortega" in said
