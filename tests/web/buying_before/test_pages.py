"""Every page up to the call-in: who sees it, who gets 403 or 404; looking changes nothing."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.buying.models import Ask, Buy, Farm, Line, Offer, Release, RulesAccepted
from coop.people.models import Change
from tests.web.buy_factories import make_ask, make_buy, make_called_in_buy, the_line, the_supply
from tests.web.factories import NOW, make_farm, make_household, make_offer

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite

EVERYBODY, COORDINATORS = "everybody", "coordinators"
#: Address name, what it needs, and who may see it.
PAGES = [
    ("farms", (), EVERYBODY),
    ("new_farm", (), COORDINATORS),
    ("farm", ("farm",), EVERYBODY),
    ("edit_farm", ("farm",), COORDINATORS),
    ("new_offer", ("farm",), COORDINATORS),
    ("edit_offer", ("farm", "offer"), COORDINATORS),
    ("buys", (), EVERYBODY),
    ("new_buy", (), COORDINATORS),
    ("buy", ("buy",), EVERYBODY),
    ("edit_buy", ("buy",), COORDINATORS),
    ("standing", ("buy",), EVERYBODY),
    ("reopen_asks", ("buy",), COORDINATORS),
    ("add_line", ("buy",), COORDINATORS),
    ("ask", ("buy", "line"), EVERYBODY),
    ("release", ("buy", "ask"), COORDINATORS),
    ("take_release", ("buy", "release"), EVERYBODY),
    ("lots", ("buy",), EVERYBODY),
    ("call_in", ("buy",), COORDINATORS),
    ("call_in_sheet", ("buy",), EVERYBODY),
    ("step_back", ("buy",), COORDINATORS),
    ("call_off", ("buy",), COORDINATORS),
]
ACTS = [
    ("retire_farm", ("farm",)),
    ("restore_farm", ("farm",)),
    ("retire_offer", ("farm", "offer")),
    ("close_asks", ("buy",)),
    ("remove_line", ("buy", "line")),
    ("give_up_ask", ("buy", "line")),
    ("withdraw_release", ("buy", "release")),
]
TABLES = (Ask, Buy, Change, Farm, Line, Offer, Release, RulesAccepted)


@pytest.fixture
def things(coop, coordinator, other_household):
    """A buy that asks, with an ask of the other household that is offered to takers."""
    farm = make_farm(coop, "Fennick farm")
    offer = make_offer(farm)
    buy = make_buy(coop, coordinator=coordinator, offers=[offer])
    line = the_line(buy)
    ask = make_ask(line, other_household, 350)
    release = Release.objects.create(ask=ask, amount=100, offered_by=coordinator)
    rows = {"farm": farm, "offer": offer, "buy": buy, "line": line, "ask": ask}
    return {name: row.pk for name, row in (rows | {"release": release}).items()}


def address(name, needs, things, slug="cottonwood"):
    return reverse(f"buying:{name}", args=[slug, *(things[need] for need in needs)])


@pytest.mark.parametrize(("name", "needs", "who"), PAGES)
def test_looking_at_a_page_is_for_those_whom_it_is_for(
    as_coordinator, as_member, as_outsider, things, name, needs, who
):
    url = address(name, needs, things)
    before = [list(table.objects.values()) for table in TABLES]
    assert as_coordinator.get(url).status_code == 200
    assert as_member.get(url).status_code == (200 if who == EVERYBODY else 403)
    assert as_outsider.get(url).status_code == 404
    assert [list(table.objects.values()) for table in TABLES] == before


@pytest.mark.parametrize(("name", "needs", "who"), [page for page in PAGES if page[1]])
def test_what_is_not_there_is_404(as_coordinator, as_outsider, outsider, things, name, needs, who):
    assert as_coordinator.get(address(name, needs, dict.fromkeys(things, 0))).status_code == 404
    theirs = address(name, needs, things, slug=outsider.coop.slug)
    assert as_outsider.get(theirs).status_code == 404


@pytest.mark.parametrize(("name", "needs"), ACTS)
def test_an_act_is_no_link(as_coordinator, as_member, as_outsider, things, name, needs):
    url = address(name, needs, things)
    assert as_coordinator.get(url).status_code == 405
    assert as_outsider.post(url).status_code == 404
    if name != "give_up_ask":
        assert as_member.post(url).status_code == 403


@pytest.mark.parametrize(
    ("name", "change"),
    [("buy", make_ask), ("standing", make_ask), ("lots", make_ask)],
)
def test_a_page_of_a_buy_takes_the_same_queries_for_20_asks_as_for_10(
    as_member, things, coop, name, change
):
    line, url = Line.objects.get(pk=things["line"]), address(name, ("buy",), things)
    as_member.get(url)
    taken = []
    for _ in range(2):
        for _ in range(10):
            change(line, make_household(coop))
        with CaptureQueriesContext(connection) as queries:
            page = as_member.get(url)
        taken.append(len(queries))
    assert page.status_code == 200
    assert taken[0] == taken[1]


def test_the_list_of_buys_takes_the_same_queries_for_20_as_for_10(as_member, coop, coordinator):
    taken = []
    for _ in range(2):
        for _ in range(10):
            make_ask(the_line(make_buy(coop, coordinator=coordinator)), make_household(coop))
        with CaptureQueriesContext(connection) as queries:
            page = as_member.get(reverse("buying:buys", args=[coop.slug]))
        taken.append(len(queries))
    assert page.content.decode().count("row-title") == 20
    assert taken[0] == taken[1]


def test_the_lists_are_for_nobody_who_is_signed_out(signed_out, coop):
    page = signed_out.get(reverse("buying:buys", args=[coop.slug]))
    assert page.status_code == 302
    assert reverse("account_login") in page.url


def test_an_empty_coop_says_what_a_buy_is_and_how_one_starts(as_coordinator, as_member, coop):
    url = reverse("buying:buys", args=[coop.slug])
    assert "Post a buy" in as_coordinator.get(url).content.decode()
    told = as_member.get(url).content.decode()
    assert "Post a buy" not in told
    assert "No buy is under way" in told


def test_past_buys_have_a_list_of_their_own(as_member, coop):
    buy = make_called_in_buy(coop, title="Old peaches")
    Buy.objects.filter(pk=buy.pk).update(stage=Buy.Stage.SQUARED)
    url = reverse("buying:buys", args=[coop.slug])
    assert "Old peaches" not in as_member.get(url).content.decode()
    assert "Old peaches" in as_member.get(url, {"past": "1"}).content.decode()


@pytest.mark.parametrize("stage", list(Buy.Stage))
def test_the_page_of_a_buy_stands_at_every_stage(as_coordinator, as_member, coop, stage):
    buy = make_called_in_buy(coop)
    Buy.objects.filter(pk=buy.pk).update(stage=stage)
    for client in (as_coordinator, as_member):
        assert client.get(reverse("buying:buy", args=[coop.slug, buy.pk])).status_code == 200


def test_names_are_shown_as_names_and_not_as_markup(as_member, coop):
    buy = make_buy(coop, title="<b>Corn</b> & beans", note="<script>alert(1)</script>")
    make_ask(the_line(buy), make_household(coop, "<i>Ng</i>"))
    page = as_member.get(reverse("buying:buy", args=[coop.slug, buy.pk])).content.decode()
    assert "&lt;b&gt;Corn&lt;/b&gt; &amp; beans" in page
    assert "&lt;i&gt;Ng&lt;/i&gt;" in page
    assert "<script>alert" not in page


def test_htmx_gets_the_part_of_the_standing_that_changes(as_member, things):
    url = address("standing", ("buy",), things)
    part = as_member.get(url, headers={"HX-Request": "true"})
    whole = as_member.get(url)
    assert "<html" not in part.content.decode()
    assert part.content.decode().strip() in whole.content.decode()
    assert "HX-Request" in part["Vary"]


def test_an_order_that_stands_has_its_sheet(as_coordinator, coop, coordinator):
    buy = make_called_in_buy(coop, coordinator=coordinator, containers=7, asks_close_at=NOW)
    sheet = as_coordinator.get(reverse("buying:call_in_sheet", args=[coop.slug, buy.pk]))
    assert f"{the_supply(buy).called_in}" == "7"
    assert "$147.00" in sheet.content.decode()  # by hand: 7 x $21 from six on
    again = as_coordinator.get(reverse("buying:call_in", args=[coop.slug, buy.pk]))
    assert again.status_code == 302
