"""From a use of a plan one finds a time on the canner or the dryer that it wants."""

from urllib.parse import parse_qs, urlsplit

import pytest
from bs4 import BeautifulSoup

from tests.web import kitchen_factories as make

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
