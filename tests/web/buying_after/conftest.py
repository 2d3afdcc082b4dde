"""A buy of sweet corn that came short: what most tests after the call-in start from."""

from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from django.urls import reverse

from coop.buying.models import Buy, Line
from coop.people.models import Coop, Household, Member
from tests.web import buy_factories as rows

Address = Callable[..., str]


@pytest.fixture
def called_in(coordinator: Member, household: Household, other_household: Household) -> Buy:
    """Two bushels of 35 lb called in, for asks of 35 lb each."""
    asks = {household: 350, other_household: 350}
    return rows.make_called_in_buy(coordinator.coop, coordinator=coordinator, asks=asks)


@pytest.fixture
def short_buy(coordinator: Member, household: Household, other_household: Household) -> Buy:
    """70 lb asked in two asks of 50 and 20 lb, 60 lb came."""
    asks = {household: 500, other_household: 200}
    return rows.make_collected_buy(
        coordinator.coop, coordinator=coordinator, asks=asks, gross=600, shortage_rule="even"
    )


@pytest.fixture
def short_line(short_buy: Buy) -> Line:
    """The line of the short buy."""
    return rows.the_line(short_buy)


@pytest.fixture
def divided(coordinator: Member, household: Household, other_household: Household) -> Buy:
    """A divided buy: 40 lb to one household, 20 lb to the other, 5 lb left over."""
    shares = {household: 400, other_household: 200}
    return rows.make_divided_buy(
        coordinator.coop, coordinator=coordinator, shares=shares, left_over=50
    )


@pytest.fixture
def at(coop: Coop) -> Address:
    """The address of a page of buying in our co-op: `at("divide", buy.pk)`."""
    return partial(address, coop)


@pytest.fixture
def at_slug() -> Address:
    """The same for any co-op: `at_slug(coop, "divide", buy.pk)`."""
    return address


def address(coop: Coop, name: str, *parts: Any) -> str:
    """The address of a page of buying."""
    return reverse(f"buying:{name}", args=[coop.slug, *parts])
