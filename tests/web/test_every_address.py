"""Every address of the site, from the URL configuration itself, asked for by everybody.

A new page is walked without being told of; an address that takes a parameter with no example in
`every_thing` fails here, so that none can be forgotten.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.apps import apps
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.converters import IntConverter

from coop.buying.models import Buy
from tests.web import every_thing, factories

#: First words of addresses for who is not signed in; anything else leads to the sign-in.
OPEN_TO_ALL = ("account/", "join/", "feeds/", "stop-mail/")
#: How many addresses there are at the least: a walk that finds fewer has lost its way.
AT_LEAST = 190
ABSENT = 999_999
STAGES = [Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED]
#: On both databases who sees the least and who sees the most; a role changes few queries.
ROLES_WALKED = [
    "",
    "coordinator",
    *(pytest.param(role, marks=pytest.mark.sqlite) for role in ("treasurer", "steward", "host")),
]
OF_A_BUY = {"coop", "buy_id", "line_id", "supply_id", "ask_id"}


@dataclass(frozen=True)
class Address:
    """One address: `parts` are its texts and the names of its parameters, in turn."""

    route: str
    parameters: tuple[str, ...]
    numbers: frozenset[str]
    pattern: URLPattern

    def path(self, values):
        """The address with values in place of its parameters."""
        filled = self.route
        for name in self.parameters:
            filled = filled.replace(f"<{name}>", str(values[name]))
        return "/" + filled

    @property
    def is_of_a_coop(self):
        return "coop" in self.parameters


def addresses() -> list[Address]:
    return list(_walk(get_resolver().url_patterns, "", {}))


def _walk(patterns, before, converters) -> Iterator[Address]:
    for pattern in patterns:
        own = converters | getattr(pattern.pattern, "converters", {})
        route = before + _plain(pattern.pattern, own)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, route, own)
        else:
            numbers = {name for name, kind in own.items() if isinstance(kind, IntConverter)}
            parameters = tuple(name for name in own if f"<{name}>" in route)
            yield Address(route, parameters, frozenset(numbers), pattern)


def _plain(pattern, converters) -> str:
    """A route as text with <names>, also of the few that are regular expressions."""
    route = str(pattern).removeprefix("^").removesuffix("$")
    if hasattr(pattern, "regex") and not hasattr(pattern, "_route"):
        route = route.replace("(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)", "<uidb36>-<key>")
        route = route.replace(r"(?P<key>[-:\w]+)", "<key>").replace(r"\/", "/")
        converters |= dict.fromkeys(pattern.regex.groupindex)
        return route
    for name, kind in pattern.converters.items():
        route = route.replace(f"<{_word(kind)}:{name}>", f"<{name}>")
    return route


def _word(converter) -> str:
    return type(converter).__name__.removesuffix("Converter").replace("String", "str").lower()


@pytest.fixture
def values(coordinator, member):
    """An example of every parameter, all of our co-op."""
    return every_thing.examples(coordinator, member)


@pytest.fixture
def their_values(other_coop):
    """An example of every parameter, all of the other co-op."""
    household = factories.make_household(other_coop)
    coordinator = factories.make_member(household, roles=["coordinator"])
    return every_thing.examples(
        coordinator, factories.make_member(factories.make_household(other_coop))
    )


def rows():
    """Every row of the project's own tables."""
    return {
        model: list(model.objects.order_by("pk").values_list())
        for model in apps.get_models()
        if model.__module__.startswith("coop.")
    }


def walk(client: Client, values, allowed, *, only=lambda address: True, method="get"):
    """Ask for every address; returns how many, and those whose answer is not allowed."""
    visited, wrong = 0, []
    client.raise_request_exception = False
    for address in filter(only, addresses()):
        path = address.path(values)
        status = getattr(client, method)(path).status_code
        visited += 1
        if status not in allowed:
            wrong.append((status, method, path))
    return visited, wrong


# ---- The walk itself ------------------------------------------------------------------------
def test_every_parameter_has_an_example(values):
    without = {
        (address.route, name)
        for address in addresses()
        for name in address.parameters
        if name not in values
    }
    assert not without
    assert len(addresses()) >= AT_LEAST


def test_no_address_has_a_parameter_that_the_walk_does_not_see():
    assert not [address.route for address in addresses() if "(" in address.route]


# ---- Who comes in ---------------------------------------------------------------------------
@pytest.mark.sqlite  # nothing is asked of the database for who is signed out
@pytest.mark.parametrize("method", ("get", "post"))
def test_signed_out_every_page_but_the_open_ones_leads_to_the_sign_in(signed_out, values, method):
    visited, before = 0, rows()
    for address in addresses():
        if address.route.startswith(OPEN_TO_ALL) or not address.route:
            continue
        response = getattr(signed_out, method)(address.path(values))
        assert response.status_code == 302, address.route
        assert response.url.startswith("/account/login/"), address.route
        visited += 1
    assert visited >= AT_LEAST - 25
    assert rows() == before


def test_signed_out_the_open_pages_answer(signed_out, values):
    def is_open(address):
        return address.route.startswith(OPEN_TO_ALL) or not address.route

    visited, wrong = walk(signed_out, values, {200, 302, 403, 404, 405}, only=is_open)
    assert visited >= 15
    assert not wrong


@pytest.mark.sqlite  # who is a member is asked once, the same for every address
@pytest.mark.parametrize("who", ("as_stranger", "as_outsider"))
@pytest.mark.parametrize("method", ("get", "post"))
def test_who_is_no_member_finds_nothing(request, who, method, values):
    client, before = request.getfixturevalue(who), rows()
    visited, wrong = walk(
        client, values, {404}, only=lambda address: address.is_of_a_coop, method=method
    )
    assert visited >= AT_LEAST - 25
    assert not wrong
    assert rows() == before


# ---- What members see -----------------------------------------------------------------------
@pytest.mark.parametrize("role", ROLES_WALKED)
def test_a_member_of_each_role_gets_an_answer_everywhere_and_looking_changes_nothing(
    role, values, coop, sign_in
):
    person = factories.make_member(factories.make_household(coop), roles=[role] if role else [])
    client, before = sign_in(person), rows()
    visited, wrong = walk(
        client, values, {200, 302, 403, 405, 409}, only=lambda address: address.is_of_a_coop
    )
    assert visited >= AT_LEAST - 25
    assert not wrong
    assert rows() == before


@pytest.mark.parametrize("stage", STAGES)
def test_the_pages_of_a_buy_answer_at_every_stage(stage, coordinator, as_coordinator):
    coordinator.treasurer = True  # so that nothing of a buy is kept from them
    coordinator.save(update_fields=["treasurer"])
    values = {"coop": coordinator.coop.slug} | every_thing.buy_examples(coordinator, stage)
    before = rows()

    def is_of_a_buy(address):
        return "buy_id" in address.parameters and set(address.parameters) <= OF_A_BUY

    visited, wrong = walk(as_coordinator, values, {200, 302, 405, 409}, only=is_of_a_buy)
    assert visited >= 20
    assert not wrong
    assert rows() == before


# ---- What is not there ----------------------------------------------------------------------
def swapped(values, other):
    """Each address that takes a number, once for each, with the number taken from `other`."""
    for address in addresses():
        for name in address.parameters:
            if name in address.numbers:
                yield address.path(values | {name: other(name)})


def answers(client, paths):
    """What GET and POST say to each path: 404 both, or 405 where only the other is taken."""
    client.raise_request_exception = False
    for path in paths:
        yield path, client.get(path).status_code, client.post(path).status_code


def test_a_number_that_is_not_there_is_404_everywhere(as_coordinator, values):
    found = list(answers(as_coordinator, swapped(values, lambda name: ABSENT)))
    assert len(found) >= AT_LEAST - 30
    assert not [answer for answer in found if not {404} <= set(answer[1:]) <= {404, 405}]


def test_another_coops_number_is_404_everywhere_and_nothing_changes(
    as_coordinator, values, their_values
):
    before = rows()
    found = list(answers(as_coordinator, swapped(values, their_values.get)))
    assert len(found) >= AT_LEAST - 30
    assert not [answer for answer in found if not {404} <= set(answer[1:]) <= {404, 405}]
    assert rows() == before
