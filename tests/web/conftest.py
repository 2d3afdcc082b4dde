"""The standing cast: who asks for pages in tests, and the clock that stands still."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client

from coop.people.models import Coop, Household, Member, User
from tests.web import factories
from tests.web.loaded_demo import loaded_demo

SignIn = Callable[[Member | User], Client]


@pytest.fixture(autouse=True)
def clock() -> Iterator[Any]:
    """The clock stands at `factories.NOW`; move it with `clock.move_to` or `clock.shift`."""
    with time_machine.travel(factories.NOW, tick=False) as traveller:
        yield traveller


# ---- Our co-op ------------------------------------------------------------------------------
@pytest.fixture
def coop(db: None) -> Coop:
    """The co-op that most of the cast belongs to."""
    return factories.make_coop("Cottonwood Larder", slug="cottonwood")


@pytest.fixture
def coordinator(coop: Coop) -> Member:
    """Runs the buys, and acts for households that phone in."""
    return factories.make_member(
        factories.make_household(coop, "Adeyemi"), "Ruth Adeyemi", roles=["coordinator"]
    )


@pytest.fixture
def treasurer(coop: Coop) -> Member:
    """Keeps the till."""
    return factories.make_member(
        factories.make_household(coop, "Brandt"), "Otto Brandt", roles=["treasurer"]
    )


@pytest.fixture
def household(coop: Coop) -> Household:
    """The household of `member`."""
    return factories.make_household(coop, "Castell")


@pytest.fixture
def member(household: Household) -> Member:
    """A member without any role."""
    return factories.make_member(household, "Ines Castell")


@pytest.fixture
def other_household(coop: Coop) -> Household:
    """The household of `other_household_member`."""
    return factories.make_household(coop, "Dufresne")


@pytest.fixture
def other_household_member(other_household: Household) -> Member:
    """A member without any role, of another household than `member`."""
    return factories.make_member(other_household, "Luc Dufresne")


# ---- Others ---------------------------------------------------------------------------------
@pytest.fixture
def other_coop(db: None) -> Coop:
    """A co-op that the cast of ours knows nothing of."""
    return factories.make_coop("Sagebrush Pantry", slug="sagebrush")


@pytest.fixture
def outsider(other_coop: Coop) -> Member:
    """A coordinator and treasurer, but of the other co-op."""
    return factories.make_member(
        factories.make_household(other_coop, "Eklund"),
        "Maja Eklund",
        roles=["coordinator", "treasurer"],
    )


@pytest.fixture
def stranger(db: None) -> User:
    """Somebody who can sign in and is a member of nothing."""
    return factories.make_user("Sam Fenn")


# ---- Signed in ------------------------------------------------------------------------------
@pytest.fixture
def sign_in() -> SignIn:
    """Sign anybody in: `sign_in(member)` returns a client with a session of its own."""

    def signed_in(person: Member | User) -> Client:
        client = Client()
        client.force_login(person.user if isinstance(person, Member) else person)
        return client

    return signed_in


@pytest.fixture
def signed_out() -> Client:
    """A client that nobody has signed in with."""
    return Client()


@pytest.fixture
def as_coordinator(coordinator: Member, sign_in: SignIn) -> Client:
    """The coordinator's client."""
    return sign_in(coordinator)


@pytest.fixture
def as_treasurer(treasurer: Member, sign_in: SignIn) -> Client:
    """The treasurer's client."""
    return sign_in(treasurer)


@pytest.fixture
def as_member(member: Member, sign_in: SignIn) -> Client:
    """The plain member's client."""
    return sign_in(member)


@pytest.fixture
def as_other_household_member(other_household_member: Member, sign_in: SignIn) -> Client:
    """The client of the member of another household."""
    return sign_in(other_household_member)


@pytest.fixture
def as_outsider(outsider: Member, sign_in: SignIn) -> Client:
    """The client of the member of another co-op."""
    return sign_in(outsider)


@pytest.fixture
def as_stranger(stranger: User, sign_in: SignIn) -> Client:
    """The stranger's client."""
    return sign_in(stranger)


# ---- The demo -------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """The demo, loaded once for a module whose tests mostly look at it."""
    with loaded_demo(django_db_blocker):
        yield


@pytest.fixture
def demo(loaded: None, db: None) -> Coop:
    """The demo's co-op."""
    return Coop.objects.get()
