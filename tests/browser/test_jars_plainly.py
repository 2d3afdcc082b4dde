"""Jars, loads and the shelf with script switched off, and without a mouse."""

import re

import pytest

from coop.jars.models import Count, Loan
from coop.kitchen.models import Load, Taken
from tests.browser.conftest import DEMO_PASSWORD, DESK, PHONE
from tests.browser.jar_pages import Jars
from tests.browser.jar_pages import Loan as LoanPage
from tests.browser.test_by_keyboard import tab_to
from tests.web import factories, kitchen_factories

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

QUARTS = "Quart, regular mouth"


@pytest.fixture
def somebody(live_server):
    """A member of a household that has a lot on its shelf, and a neighbour with spare jars."""
    coop = factories.make_coop("Cottonwood Larder")
    user = factories.make_user("Kim Castell", password=DEMO_PASSWORD)
    member = factories.make_member(factories.make_household(coop, "Castell"), user=user)
    kitchen_factories.make_count(factories.make_household(coop, "Dufresne"))
    kitchen_factories.make_lot(member.household, sealed=7)
    return member


@pytest.fixture
def plain(somebody, page_of):
    """Their phone, without script, at the front page of the co-op."""
    page = page_of(somebody, width=PHONE, java_script_enabled=False)
    page.goto(f"/{somebody.coop.slug}/")
    return page


# ---- Without script -------------------------------------------------------------------------
def test_jars_are_counted(plain, somebody):
    jars = {"Full": 3, "Empty": 30, "Spare": 5}
    Jars(plain).count(QUARTS, jars, lids={"New lids": 24, "Bands": 20})
    count = Count.objects.get(household=somebody.household)
    assert list(count.jars.values_list("kind", "full", "empty", "spare")) == [
        ("quart_regular", 3, 30, 5)
    ]
    assert list(count.lids.values_list("mouth", "lids", "bands")) == [("regular", 24, 20)]


def test_a_refused_count_keeps_what_was_typed(plain):
    Jars(plain).count(QUARTS, {"Empty": 3, "Spare": 5}, lids={"New lids": 24})
    assert plain.get_by_text("5 of 3 empty cannot be spare").count() >= 1
    group = plain.get_by_role("group", name=QUARTS, exact=True)
    assert group.get_by_label("Spare", exact=True).input_value() == "5"
    assert not Count.objects.filter(household__name="Castell").exists()


def test_jars_are_asked_for(plain, somebody):
    Jars(plain).open("Who has spare jars")
    LoanPage(plain).ask("Dufresne", QUARTS, 6)
    loan = Loan.objects.get(borrower=somebody.household)
    assert (loan.lender.name, loan.lines.get().count) == ("Dufresne", 6)


def test_a_load_gets_one_more_line_and_keeps_what_was_typed(plain):
    jars = Jars(plain)
    jars.open("Loads and lots")
    jars.follow("Write a load down")
    jars.press("Boiling-water canner")
    jars.fill("Which canner", "The blue kettle")
    jars.press("One more line")
    assert plain.get_by_role("group", name="Line 2").count() == 1
    assert plain.get_by_label("Which canner").input_value() == "The blue kettle"
    assert Load.objects.count() == 1  # that of the lot on the shelf


def test_a_jar_is_taken_and_put_back(plain):
    jars = Jars(plain)
    jars.open("Pantry")
    plain.get_by_role("button", name=re.compile("^Used 1")).click()
    assert jars.says("6 quarts")
    plain.get_by_role("button", name=re.compile("^Undo")).click()
    assert jars.says("7 quarts")
    assert Taken.objects.get().undone_at is not None


# ---- Without a mouse ------------------------------------------------------------------------
@pytest.mark.parametrize("width", (PHONE, DESK))
def test_jars_are_counted_by_keyboard(somebody, page_of, width):
    page = page_of(somebody, width=width)
    page.goto(f"/{somebody.coop.slug}/jars/count/")
    for name, typed in (("quart_regular-full", "2"), ("quart_regular-empty", "14")):
        tab_to(page, name)
        page.keyboard.press("Control+A")
        page.keyboard.type(typed)
    page.keyboard.press("Enter")
    page.wait_for_url("**/jars/")
    counted = Count.objects.get(household=somebody.household).jars.get(kind="quart_regular")
    assert (counted.full, counted.empty) == (2, 14)


def test_a_jar_is_taken_by_keyboard(somebody, page_of):
    page = page_of(somebody, width=DESK)
    page.goto(f"/{somebody.coop.slug}/pantry/")
    button = page.get_by_role("button", name=re.compile("^Used 1"))
    for _ in range(60):
        page.keyboard.press("Tab")
        if button.evaluate("button => button === document.activeElement"):
            break
    page.keyboard.press("Enter")
    page.get_by_text("6 quarts").first.wait_for()
    assert Taken.objects.get().count == 1
