"""The acts that cannot wait for a better phone work with script switched off."""

import re

import pytest

from coop.buying.models import Ask as AskRow
from coop.buying.models import Buy, Division, Share, Tally
from coop.people.models import Member
from tests.browser import pages
from tests.browser.conftest import PHONE

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def plain(demo, page_of):
    """The coordinator's phone, without script, and where the co-op's pages begin."""

    def opened(stage):
        buy = Buy.objects.filter(coop=demo, stage=stage).latest("pk")
        page = page_of(buy.coordinator, width=PHONE, java_script_enabled=False)
        return page, f"/{demo.slug}/buys/{buy.pk}/", buy

    return opened


def test_a_household_asks(plain, page_of, demo):
    _, address, buy = plain(Buy.Stage.ASKING)
    line = buy.lines.first()
    asking = AskRow.objects.filter(line=line).values("household")
    newcomer = Member.objects.filter(coop=demo).exclude(household__in=asking).first()
    page = page_of(newcomer, width=PHONE, java_script_enabled=False)
    pages.Ask(page).place(address, line.produce, "17.5", at_least="10")
    ask = AskRow.objects.get(line=line, household=newcomer.household)
    assert (ask.wanted, ask.at_least) == (175, 100)


def test_a_refused_ask_keeps_what_was_typed(plain):
    page, address, buy = plain(Buy.Stage.ASKING)
    page.goto(f"{address}lines/{buy.lines.first().pk}/ask/")
    page.locator("[name=wanted]").fill("12.34")
    page.locator("[name=purpose]").fill("chowder")
    page.get_by_role("button", name="Save my ask").click()
    assert page.locator("[name=purpose]").input_value() == "chowder"
    assert page.get_by_text("Pounds go to one decimal").count() >= 1


def test_a_delivery_is_counted(plain):
    page, address, buy = plain(Buy.Stage.CALLED_IN)
    came = {
        "containers": "2",
        "scale": [("1", "36"), ("1", "35.5")],
        "bill": "40",
        "bill_is": "all",
    }
    pages.Tally(page).count(address, buy.lines.first().produce, came)
    tally = Tally.objects.get(supply__line__buy=buy)
    assert (tally.containers, tally.bill_cents) == (2, 4000)
    assert sorted(tally.weighings.values_list("gross", flat=True)) == [355, 360]


def test_a_division_is_published(plain):
    page, address, buy = plain(Buy.Stage.COLLECTED)
    pages.Divide(page).open(address)
    pages.Divide(page).publish()
    division = Division.objects.get(line__buy=buy)
    assert division.rule == buy.shortage_rule
    assert page.get_by_text("Shared by").count() == 1


def test_a_share_is_ticked(plain):
    page, address, buy = plain(Buy.Stage.DIVIDED)
    waiting = Share.objects.filter(division__line__buy=buy, fetched_at__isnull=True, amount__gt=0)
    household = waiting.first().household
    pickup = pages.Pickup(page)
    pickup.open(address)
    pickup.fetched(household.name)
    assert not waiting.filter(household=household).exists()
    assert re.search(r"fetched", pickup.text(household.name))
