"""Forms as people send them: what is saved, and what a refused one keeps."""

from datetime import timedelta

import pytest
from bs4 import BeautifulSoup
from django.urls import reverse

from coop.buying.models import Ask, Buy, CallIn, Farm, Offer, Release
from tests.web.buy_factories import make_ask, make_buy, make_called_in_buy, the_line, the_supply
from tests.web.factories import NOW, make_farm, make_household, make_offer

RULES = {
    "shortage_rule": "season",
    "grace_minutes": "30",
    "late_change_cents": "0",
    "no_show_cents": "5",
    "fuel_basis": "by_trip",
    "other_basis": "equally",
    "cover": "covered",
    "fronted_by": "",
    "front_limit_cents": "",
}
BUY = RULES | {
    "title": "Sweet corn, Fennick farm",
    "asks_close_at": "2026-08-12T20:00",
    "pickup_place": "The barn",
    "pickup_from": "2026-08-13T16:00",
    "pickup_to": "2026-08-13T18:00",
    "note": "",
}
OFFER = {
    "produce": "Sweet corn",
    "container": "bushel",
    "measure": "weight",
    "size": "35",
    "price_1": "24.00",
    "from_2": "6",
    "price_2": "21",
    "available": "",
    "at_least": "",
    "note": "",
}


@pytest.fixture
def send(coop):
    """Send a form to an address of the co-op by its name."""

    def sent(client, name, *args, data=None):
        return client.post(reverse(f"buying:{name}", args=[coop.slug, *args]), data or {})

    return sent


def soup(response):
    return BeautifulSoup(response.content, "html.parser")


def error_beside(response, field):
    """What the page says at a field; the input must be tied to it."""
    page = soup(response)
    said = page.find(id=f"id_{field}_error")
    assert said, f"nothing is said at {field}"
    return said.get_text(" ", strip=True)


# ---- farms ----------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_farm_and_its_first_offer_are_put_on_the_list(as_coordinator, send):
    typed = {"name": "Fennick farm", "round_trip_miles": "42", "phone": "555 0101"}
    answer = send(as_coordinator, "new_farm", data=typed)
    farm = Farm.objects.get()
    assert answer.url == reverse("buying:new_offer", args=[farm.coop.slug, farm.pk])
    send(as_coordinator, "new_offer", farm.pk, data=OFFER)
    offer = Offer.objects.get()
    assert offer.size == 350
    assert list(offer.prices.values_list("from_count", "cents_each")) == [(1, 2400), (6, 2100)]


def test_an_offer_is_edited_from_what_it_is(as_coordinator, send, coop):
    offer = make_offer(make_farm(coop))
    url = reverse("buying:edit_offer", args=[coop.slug, offer.farm_id, offer.pk])
    page = soup(as_coordinator.get(url))
    assert page.find(id="id_size")["value"] == "35"
    assert page.find(id="id_price_2")["value"] == "21.00"
    answer = send(
        as_coordinator, "edit_offer", offer.farm_id, offer.pk, data=OFFER | {"size": "33.5"}
    )
    offer.refresh_from_db()
    assert (answer.status_code, offer.size) == (302, 335)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"size": "35.25"}, "size"),
        ({"size": "0"}, "size"),
        ({"price_1": "24.005"}, "price_1"),
        ({"price_2": ""}, "price_2"),
        ({"from_2": ""}, "from_2"),
        ({"measure": "count", "size": "12.5"}, "size"),
        ({"available": "2", "at_least": "3"}, "available"),
    ],
)
def test_a_refused_offer_keeps_what_was_typed(as_coordinator, send, coop, change, field):
    farm = make_farm(coop)
    answer = send(as_coordinator, "new_offer", farm.pk, data=OFFER | change)
    assert answer.status_code == 422
    assert error_beside(answer, field)
    assert soup(answer).find(id="id_produce")["value"] == "Sweet corn"
    assert not Offer.objects.exists()


# ---- the buy --------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_buy_is_posted_in_the_clocks_of_the_coop(as_coordinator, send):
    answer = send(as_coordinator, "new_buy", data=BUY)
    buy = Buy.objects.get()
    assert answer.url == reverse("buying:add_line", args=[buy.coop.slug, buy.pk])
    # 20:00 in Denver in August is 02:00 in UTC the day after (IANA time zone data).
    assert buy.asks_close_at.isoformat() == "2026-08-13T02:00:00+00:00"
    assert buy.no_show_cents == 500


@pytest.mark.sqlite  # about the page alone
def test_a_refused_buy_keeps_what_was_typed(as_coordinator, send):
    typed = BUY | {"pickup_to": "2026-08-13T15:00", "no_show_cents": "five"}
    answer = send(as_coordinator, "new_buy", data=typed)
    assert answer.status_code == 422
    assert error_beside(answer, "no_show_cents") == "Write it in figures, like 12.50."
    assert soup(answer).find(id="id_pickup_to")["value"] == "2026-08-13T15:00"
    again = send(as_coordinator, "new_buy", data=typed | {"no_show_cents": "5"})
    assert error_beside(again, "pickup_to") == "The pickup must end after it begins."
    assert not Buy.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_fronted_buy_asks_who_and_how_much(as_coordinator, send, household):
    typed = BUY | {"cover": "fronted"}
    assert error_beside(send(as_coordinator, "new_buy", data=typed), "fronted_by")
    typed |= {"fronted_by": household.pk, "front_limit_cents": "150"}
    send(as_coordinator, "new_buy", data=typed)
    assert Buy.objects.get().front_limit_cents == 15000


@pytest.mark.sqlite  # about the page alone
def test_rules_that_were_accepted_are_shown_and_stay(as_coordinator, send, coop):
    buy = make_buy(coop)
    make_ask(the_line(buy))
    url = reverse("buying:edit_buy", args=[coop.slug, buy.pk])
    assert soup(as_coordinator.get(url)).find(id="id_grace_minutes").has_attr("disabled")
    typed = BUY | {"grace_minutes": "0", "title": "Corn"}
    send(as_coordinator, "edit_buy", buy.pk, data=typed)
    buy.refresh_from_db()
    assert (buy.title, buy.grace_minutes) == ("Corn", 30)


def test_a_line_is_put_in_and_taken_out(as_coordinator, send, coop):
    buy = make_buy(coop, offers=())
    offer = make_offer(make_farm(coop))
    answer = send(as_coordinator, "add_line", buy.pk, data={"produce": "No offer"})
    assert error_beside(answer, "offers") == "Choose at least one offer."
    assert soup(answer).find(id="id_produce")["value"] == "No offer"
    send(as_coordinator, "add_line", buy.pk, data={"offers": [offer.pk]})
    line = the_line(buy)
    assert line.supplies.get().offer == offer
    send(as_coordinator, "remove_line", buy.pk, line.pk)
    assert not buy.lines.exists()


def test_asks_are_closed_and_opened_again(as_coordinator, send, coop):
    buy = make_buy(coop)
    send(as_coordinator, "close_asks", buy.pk)
    buy.refresh_from_db()
    assert buy.asks_close_at == NOW
    answer = send(as_coordinator, "close_asks", buy.pk)
    assert answer.status_code == 409
    assert "closed already" in answer.content.decode()
    late = send(as_coordinator, "reopen_asks", buy.pk, data={"until": "2026-08-01T10:00"})
    assert error_beside(late, "until") == "Asks must stay open for a while yet."
    send(as_coordinator, "reopen_asks", buy.pk, data={"until": "2026-08-12T10:00"})
    buy.refresh_from_db()
    assert buy.asks_close_at == NOW + timedelta(days=1, hours=1)


# ---- asks -----------------------------------------------------------------------------------
def ask_form(**typed):
    blank = {"wanted": "35", "at_least": "", "at_most": "", "whole": "", "purpose": ""}
    return blank | {"accept_rules": "on"} | typed


@pytest.mark.sqlite  # about the page alone
def test_a_household_asks_by_phone(as_member, member, send, coop):
    buy = make_buy(coop)
    line = the_line(buy)
    typed = ask_form(wanted="70", at_least="35", whole="350", purpose="Freezing")
    answer = send(as_member, "ask", buy.pk, line.pk, data=typed)
    ask = Ask.objects.get(household=member.household)
    assert answer.url == reverse("buying:buy", args=[coop.slug, buy.pk])
    assert (ask.wanted, ask.at_least, ask.whole, ask.purpose) == (700, 350, 350, "Freezing")
    page = soup(as_member.get(reverse("buying:ask", args=[coop.slug, buy.pk, line.pk])))
    assert page.find(id="id_wanted")["value"] == "70"
    assert page.find(id="id_accept_rules") is None


@pytest.mark.sqlite  # about the page alone
def test_the_rules_are_read_with_the_first_ask(as_member, send, coop):
    buy = make_buy(coop, late_change_cents=250)
    line = the_line(buy)
    page = as_member.get(reverse("buying:ask", args=[coop.slug, buy.pk, line.pk]))
    assert "which costs $2.50" in page.content.decode()
    typed = ask_form()
    del typed["accept_rules"]
    answer = send(as_member, "ask", buy.pk, line.pk, data=typed)
    assert answer.status_code == 422
    assert "say yes" in error_beside(answer, "accept_rules")
    assert soup(answer).find(id="id_wanted")["value"] == "35"


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"wanted": ""}, "wanted"),
        ({"wanted": "some"}, "wanted"),
        ({"wanted": "35.25"}, "wanted"),
        ({"wanted": "35.2"}, "wanted"),
        ({"wanted": "-3"}, "wanted"),
        ({"at_least": "40"}, "at_least"),
        ({"at_most": "30"}, "at_most"),
        ({"whole": "7"}, "whole"),
        ({"wanted": "50", "whole": "350"}, "wanted"),
    ],
)
def test_a_refused_ask_keeps_what_was_typed(as_member, send, coop, typed, field):
    buy = make_buy(coop)
    answer = send(
        as_member, "ask", buy.pk, the_line(buy).pk, data=ask_form(purpose="Pickles", **typed)
    )
    assert answer.status_code == 422
    assert error_beside(answer, field)
    assert soup(answer).find(id="id_purpose")["value"] == "Pickles"
    assert not Ask.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_coordinator_asks_for_somebody_who_phoned(as_coordinator, as_member, send, coop):
    buy, other = make_buy(coop), make_household(coop, "Faraway")
    typed = ask_form(household=other.pk)
    assert send(as_member, "ask", buy.pk, the_line(buy).pk, data=typed).status_code == 403
    send(as_coordinator, "ask", buy.pk, the_line(buy).pk, data=typed)
    assert Ask.objects.get().household == other


@pytest.mark.parametrize("named", ["x", "0", "99999999999999999999"])
def test_a_household_that_is_none_is_404(as_coordinator, send, coop, named):
    buy = make_buy(coop)
    typed = ask_form(household=named)
    assert send(as_coordinator, "ask", buy.pk, the_line(buy).pk, data=typed).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_another_coops_household_is_404(as_coordinator, send, coop, outsider):
    buy = make_buy(coop)
    typed = ask_form(household=outsider.household_id)
    assert send(as_coordinator, "ask", buy.pk, the_line(buy).pk, data=typed).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_an_ask_after_the_close_gets_a_page_that_says_so(as_member, send, coop):
    buy = make_buy(coop, asks_close_at=NOW)
    answer = send(as_member, "ask", buy.pk, the_line(buy).pk, data=ask_form())
    assert answer.status_code == 409
    assert "closed" in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_an_ask_is_given_up(as_member, member, send, coop):
    buy = make_buy(coop)
    make_ask(the_line(buy), member.household)
    assert send(as_member, "give_up_ask", buy.pk, the_line(buy).pk).status_code == 302
    assert Ask.objects.get().wanted == 0


@pytest.mark.sqlite  # about the page alone
def test_an_ask_finds_its_taker(
    as_member, as_other_household_member, member, other_household_member, send, coop
):
    buy = make_called_in_buy(coop, asks={member.household: 350})
    ask = Ask.objects.get()
    refused = send(as_member, "release", buy.pk, ask.pk, data={"amount": "40"})
    assert "35" in error_beside(refused, "amount")
    send(as_member, "release", buy.pk, ask.pk, data={"amount": "10"})
    release = Release.objects.get()
    taker = as_other_household_member
    assert "Take it" in taker.get(reverse("buying:buy", args=[coop.slug, buy.pk])).content.decode()
    unread = send(taker, "take_release", buy.pk, release.pk)
    assert error_beside(unread, "accept_rules")
    send(taker, "take_release", buy.pk, release.pk, data={"accept_rules": "on"})
    assert Ask.objects.get(household=other_household_member.household).wanted == 100
    again = send(taker, "take_release", buy.pk, release.pk)
    assert again.status_code == 409


def test_what_is_offered_can_be_kept_after_all(as_member, member, send, coop):
    buy = make_called_in_buy(coop, asks={member.household: 350})
    release = Release.objects.create(ask=Ask.objects.get(), amount=100, offered_by=member)
    send(as_member, "withdraw_release", buy.pk, release.pk)
    release.refresh_from_db()
    assert release.withdrawn_at == NOW


# ---- the order ------------------------------------------------------------------------------
@pytest.fixture
def closed(coop, coordinator, household):
    """Closed, with asks for 2 bushels, fronted up to $100."""
    buy = make_buy(
        coop,
        coordinator=coordinator,
        cover=Buy.Cover.FRONTED,
        fronted_by=household,
        front_limit_cents=10000,
        asks_close_at=NOW,
    )
    make_ask(the_line(buy), household, 700)
    return buy


def test_a_plan_is_picked_and_called_in(as_coordinator, send, closed, coop):
    lots = as_coordinator.get(reverse("buying:lots", args=[coop.slug, closed.pk]))
    page = soup(lots)
    assert "recommended" in page.find("tr", class_="chosen").get_text()
    onward = page.find("a", class_="button-main")["href"]
    form = soup(as_coordinator.get(onward))
    name = f"n-{the_supply(closed).pk}"
    assert form.find("input", attrs={"name": name})["value"] == "2"
    send(as_coordinator, "call_in", closed.pk, data={name: "2", "spoke_to": "Mrs Fennick"})
    assert CallIn.objects.get().spoke_to == "Mrs Fennick"
    assert the_supply(closed).called_in == 2


@pytest.mark.sqlite  # about the page alone
def test_an_order_beyond_cover_is_refused_and_kept(as_coordinator, send, closed):
    name = f"n-{the_supply(closed).pk}"
    typed = {name: "5", "spoke_to": "Mrs Fennick", "note": ""}
    answer = send(as_coordinator, "call_in", closed.pk, data=typed)
    assert answer.status_code == 422
    assert "$20.00 of this order" in answer.content.decode()  # by hand: 5 x $24 is $120
    assert soup(answer).find(id="id_spoke_to")["value"] == "Mrs Fennick"
    assert not CallIn.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_containers_set_by_hand_show_what_they_do(as_member, closed, coop):
    url = reverse("buying:lots", args=[coop.slug, closed.pk])
    key = f"n-{the_supply(closed).pk}"
    told = as_member.get(url, {key: "1"}).content.decode()
    assert "1 bushel more" in " ".join(told.split())
    assert "Go on to the call-in" not in told
    bad = as_member.get(url, {key: "lots"})
    assert bad.status_code == 422
    assert error_beside(bad, key)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["step_back", "call_off"])
def test_a_stage_goes_back_or_a_buy_off_only_with_a_reason(as_coordinator, send, coop, name):
    buy = make_called_in_buy(coop)
    answer = send(as_coordinator, name, buy.pk, data={"why": ""})
    assert (answer.status_code, bool(error_beside(answer, "why"))) == (422, True)
    send(as_coordinator, name, buy.pk, data={"why": "Hail"})
    buy.refresh_from_db()
    assert buy.stage == (Buy.Stage.ASKING if name == "step_back" else Buy.Stage.CALLED_OFF)
