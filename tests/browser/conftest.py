"""Who sits at the browser: people of the demo co-op, each with a page of their own."""

from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings
from django.test import Client

from coop.people.models import Coop, Member, User
from tests.browser.kept_demo import KeptDemo

PHONE, DESK = 360, 1280
DEMO_PASSWORD = "bushel-and-a-peck"

# What the steps of the whole buy assert is told as fully as what a test asserts.
for steps in ("to_the_call_in", "to_the_shares", "of_the_costs", "to_the_last_cent", "to_the_jars"):
    pytest.register_assert_rewrite(f"tests.browser.steps_{steps}")

# Playwright answers in Python objects of many kinds: a page is Any here.
Open = Callable[..., Any]


@pytest.fixture(scope="session")
def kept_demo() -> KeptDemo:
    """The demo, kept from test to test."""
    return KeptDemo()


@pytest.fixture
def demo(live_server: Any, kept_demo: KeptDemo) -> Coop:
    """The demo co-op, with a buy at every stage, as nobody has touched it yet."""
    kept_demo.load()
    return Coop.objects.get()


@pytest.fixture
def page_of(new_page: Open) -> Open:
    """Open a page for somebody who is signed in: `page_of(member, width=PHONE)`."""

    def opened(person: Member | User, **options: Any) -> Any:
        page = new_page(**options)
        page.context.add_cookies([signed_in(person) | {"url": base_url(page)}])
        return page

    return opened


def signed_in(person: Member | User) -> dict[str, str]:
    """The cookie of a session that somebody of the demo began by password a moment ago."""
    client = Client()
    email = (person.user if isinstance(person, Member) else person).email
    client.post("/account/login/", {"login": email, "password": DEMO_PASSWORD})
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value}


def base_url(page: Any) -> str:
    """Where the site runs, asked of the browser itself."""
    page.goto("/account/login/")
    return page.evaluate("location.origin")
