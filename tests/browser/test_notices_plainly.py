"""Notices and what comes of them, with script switched off, and without a mouse."""

import re

import pytest

from coop.notices.models import Choice, Notice
from tests.browser.conftest import DEMO_PASSWORD, DESK, PHONE
from tests.browser.notice_pages import Choices, Notices
from tests.browser.test_by_keyboard import tab_to
from tests.web import factories
from tests.web.notice_factories import make_matter, make_notice

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

PICKUP = "Pickup"
TABS = 60


@pytest.fixture
def somebody(live_server):
    """A member with two notices to read."""
    coop = factories.make_coop("Cottonwood Larder")
    user = factories.make_user("Kim Castell", password=DEMO_PASSWORD)
    member = factories.make_member(factories.make_household(coop, "Castell"), user=user)
    for _ in range(2):
        make_notice(member, matter=make_matter(member, at=factories.NOW))
    return member


def chosen(member):
    return Choice.objects.get(member=member, kind="buy_pickup")


def is_all_read(member):
    return not Notice.objects.filter(member=member, read_at=None).exists()


def tab_to_what_is_called(page, name):
    for _ in range(TABS):
        page.keyboard.press("Tab")
        said = page.evaluate("document.activeElement.innerText") or ""
        if re.match(name, said.strip()):
            return
    pytest.fail(f"No Tab leads to {name}")


def test_without_script_kinds_are_chosen_and_all_is_read(somebody, page_of):
    page = page_of(somebody, width=PHONE, java_script_enabled=False)
    page.goto(f"/{somebody.coop.slug}/notices/")
    Notices(page).read_all()
    assert Notices(page).says("All notices are read.")
    assert is_all_read(somebody)
    choices = Choices(page)
    choices.follow("Choose what comes")
    choices.set(PICKUP, "By mail", "No mail")
    choices.set(PICKUP, "When", "2 hours before")
    choices.save()
    assert choices.how(PICKUP).startswith("2 hours before: on the site")
    assert (chosen(somebody).by_mail, chosen(somebody).on_site) == ("never", True)


def test_by_keyboard_kinds_are_chosen_and_all_is_read(somebody, page_of):
    page = page_of(somebody, width=DESK)
    page.goto(f"/{somebody.coop.slug}/notices/choices/")
    tab_to_what_is_called(page, PICKUP)
    page.keyboard.press("Enter")
    tab_to(page, "buy_pickup-by_mail")
    page.keyboard.press("ArrowDown")  # past "as it comes" and "in one mail a day"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_text("Saved.").wait_for()
    assert chosen(somebody).by_mail == "never"
    page.goto(f"/{somebody.coop.slug}/notices/")
    tab_to_what_is_called(page, "All read")
    page.keyboard.press("Enter")
    page.get_by_text("All notices are read.").wait_for()
    assert is_all_read(somebody)
