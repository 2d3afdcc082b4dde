"""Rows for tests, every argument defaulted: a test sets only what it is about.

People and farms here; `buy_factories` has what belongs to a buy. All names are invented.
"""

import itertools
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Any

from allauth.account.models import EmailAddress

from coop.buying.models import Farm, Measure, Offer, PriceBreak
from coop.money.actions.accounts import open_farm_account, open_household_account, open_till
from coop.people.models import Coop, Household, Invitation, Member, User

NOW = datetime(2026, 8, 11, 15, 0, tzinfo=UTC)  # a Tuesday, nine in the morning in Denver
PASSWORD = "larder-shelf-jars"
_numbers = itertools.count(1)


def number() -> int:
    """A number that no row of this run has had."""
    return next(_numbers)


def make_coop(name: str = "", **fields: Any) -> Coop:
    """A co-op with its till, in Denver's zone, counting US cents."""
    made = number()
    defaults = {
        "name": name or f"Pantry {made}",
        "slug": f"pantry-{made}",
        "altitude_ft": 5430,
        "trip_cents_per_mile": 70,
    }
    coop = Coop.objects.create(**defaults | fields)
    open_till(coop)
    return coop


def make_household(coop: Coop | None = None, name: str = "", **fields: Any) -> Household:
    """A household with its account."""
    household = Household.objects.create(
        coop=coop or make_coop(), name=name or f"Household {number()}", **fields
    )
    open_household_account(household)
    return household


def make_user(name: str = "", *, email: str = "", password: str | None = None) -> User:
    """A person who can sign in: by a code, and by `password` where one is given."""
    name = name or f"Person {number()}"
    email = email or f"{name.lower().replace(' ', '.')}.{number()}@example.test"
    user = User.objects.create_user(email, password, name=name)
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
    return user


def make_member(
    household: Household | None = None,
    name: str = "",
    *,
    roles: Iterable[str] = (),
    user: User | None = None,
    **fields: Any,
) -> Member:
    """A member of a household, with `roles` out of coordinator, treasurer, steward, host."""
    household = household or make_household()
    user = user or make_user(name)
    given = dict.fromkeys(roles, True)
    return Member.objects.create(
        coop=household.coop,
        household=household,
        user=user,
        name=name or user.name,
        **given | fields,
    )


def make_invitation(by: Member, email: str = "", **fields: Any) -> Invitation:
    """An open invitation into a new household, good for a week."""
    made = number()
    defaults: dict[str, Any] = {
        "coop": by.coop,
        "invited_by": by,
        "email": email or f"new.{made}@example.test",
        "invited_at": NOW,
        "expires_at": NOW + timedelta(days=7),
    }
    if "household" not in fields:
        defaults["household_name"] = f"Newcomers {made}"
    return Invitation.objects.create(**defaults | fields)


def make_farm(coop: Coop | None = None, name: str = "", **fields: Any) -> Farm:
    """A farm with its account, a trip of 30 miles there and back."""
    coop = coop or make_coop()
    name = name or f"Farm {number()}"
    defaults = {"account": open_farm_account(coop, name), "round_trip_miles": 30}
    return Farm.objects.create(coop=coop, name=name, **defaults | fields)


def make_offer(
    farm: Farm | None = None,
    produce: str = "Sweet corn",
    *,
    prices: Iterable[tuple[int, int]] = ((1, 2400), (6, 2100)),
    **fields: Any,
) -> Offer:
    """An offer by the bushel of 35 lb; `prices` are (from this many, cents each)."""
    defaults = {"container": "bushel", "measure": Measure.WEIGHT, "size": 350}
    offer = Offer.objects.create(farm=farm or make_farm(), produce=produce, **defaults | fields)
    PriceBreak.objects.bulk_create(
        PriceBreak(offer=offer, from_count=count, cents_each=cents) for count, cents in prices
    )
    return offer
