"""Jams and spreads that are published for any fruit are planned for the fruit at hand."""

import pytest

from coop.kitchen.models import Use, Way
from coop.kitchen.queries.ways import WayKey
from tests.web.kitchen_factories import make_plan
from tests.web.reading import text_of

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


def address(plan, under):
    """Where a jam of half-pints is put into a plan, its row standing under a wider key."""
    key = WayKey(
        Way.CAN,
        "jam_without_added_pectin",
        under=under,
        pack="hot",
        method="boiling_water",
        jar="half_pint",
    )
    return f"/{plan.coop.slug}/plans/{plan.pk}/uses/add/?{key.query}"


def test_a_fruit_goes_into_the_jams_that_are_published_for_any_fruit(as_member, member):
    plan = make_plan(member.household, "strawberries", tenths=120)
    ways = text_of(as_member.get(f"/{member.coop.slug}/plans/{plan.pk}/uses/"))
    assert "Jam without added pectin (any fruit)" in ways
    # USDA Complete Guide to Home Canning, 2015, guide 7: sterile half-pints, 10 minutes from 1,001
    # to 6,000 ft.
    response = as_member.post(
        address(plan, "fruit_any"),
        {"jars": "8", "mouth": "regular", "load": "", "jars_per_load": "8"},
    )
    assert response.status_code == 302, text_of(response)
    use = Use.objects.get(plan=plan)
    assert (use.food, use.jars) == ("fruit_any", 8)
    assert "10 min" in text_of(as_member.get(f"/{member.coop.slug}/plans/{plan.pk}/"))


@pytest.mark.parametrize("under", ["fruit_any", "tomato", "berries"])
def test_what_is_no_such_fruit_does_not_stand_under_a_wider_key(as_member, member, under):
    plan = make_plan(member.household, "sweet_corn")
    response = as_member.get(address(plan, under))
    assert "There is no tested process" in text_of(response)
