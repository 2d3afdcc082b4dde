"""A coordinator writes to those whom a buy or a thing concerns: to them, once, for good."""

import uuid
from datetime import time, timedelta

import pytest
from bs4 import BeautifulSoup
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.notices.actions import writing as acts
from coop.notices.actions.choices import Clocks, choose
from coop.notices.circles import concern_for
from coop.notices.models import Matter, Notice, Writing
from tests.web import buy_factories, equipment_factories, factories
from tests.web.at_once import at_once
from tests.web.factories import NOW
from tests.web.notice_factories import make_mail
from tests.web.notices.postman import post
from tests.web.reading import text_of

pytestmark = pytest.mark.django_db
TYPED = {"title": "Bring boxes", "text": "The barn has none.\nTwo each will do.", "part": "asked"}


@pytest.fixture
def buy(coordinator):
    """A buy that takes asks, led by the coordinator."""
    return buy_factories.make_buy(coordinator=coordinator)


@pytest.fixture
def asked(buy, household, member):
    """The member's household asks for corn."""
    return buy_factories.make_ask(buy_factories.the_line(buy), household)


@pytest.fixture
def address(buy):
    return reverse("notices:write", args=[buy.coop.slug, "buy", buy.pk])


def typed(**fields):
    return TYPED | {"once": str(uuid.uuid4())} | fields


def seen_on(response):
    """The fields of the page that shows who gets it."""
    form = response.context["form"]
    return {
        **{name: form[name].value() for name in ("title", "text", "part", "once")},
        "seen": response.context["reach"].digest,
    }


# ---- from the form to the letter ------------------------------------------------------------
def test_a_letter_goes_out_to_who_asked_and_to_nobody_else(
    as_coordinator, address, asked, member, other_household_member
):
    look = as_coordinator.post(address + "look/", typed())
    assert "Send it to 1 household, 1 person?" in text_of(look)
    sent = as_coordinator.post(address, seen_on(look))
    letter = Writing.objects.get()
    assert sent.url == reverse("notices:writing", args=[letter.coop.slug, letter.pk])
    [mail] = post()
    assert (mail.to, mail.subject) == ([member.user.email], "Bring boxes")
    assert sent.url in mail.body


def test_its_mail_begins_with_its_text_and_says_who_wrote_and_how_to_answer(
    letter, buy, coordinator, settings
):
    [mail] = post()
    lines = mail.body.splitlines()
    assert lines[:8] == [
        *TYPED["text"].splitlines(),
        "",
        TYPED["title"],
        f"From {coordinator}, about {buy.title}.",
        f"To answer, talk to {coordinator}. Mail to this address reaches nobody.",
        "",
        f"See {buy.title}:",
    ]
    page = BeautifulSoup(mail.alternatives[0].content, "html.parser")
    assert page.h1.text == TYPED["title"]
    buy_page = reverse("buying:buy", args=[buy.coop.slug, buy.pk])
    assert page.find("a", class_="act")["href"] == settings.SITE_ADDRESS + buy_page
    address = reverse("notices:writing", args=[buy.coop.slug, letter.pk])
    assert page.find("a", string="The letter on the site")["href"].endswith(address)
    assert page.div.text == "The barn has none. Two each will do."


def test_where_the_household_has_a_telephone_that_is_how_to_answer(
    as_member, buy, asked, coordinator
):
    coordinator.household.phone = "555 0142"
    coordinator.household.save()
    concern = concern_for(coordinator, "buy", buy.pk)
    letter = acts.write(concern, acts.Letter(**TYPED), by=coordinator)
    answer = f"To answer: {coordinator.household} household, 555 0142."
    assert f"{answer} Mail to this address reaches nobody." in post()[0].body
    page = as_member.get(reverse("notices:writing", args=[letter.coop.slug, letter.pk]))
    assert answer in text_of(page)


def test_who_writes_gets_no_mail_of_it_and_her_household_does(
    as_coordinator, address, buy, asked, coordinator, member
):
    mate = factories.make_member(coordinator.household)
    as_coordinator.post(address, typed(part="everybody"))
    choose(Clocks(True, time(22), time(6), time(18)), {}, by=coordinator)  # plans all anew
    assert {to for mail in post() for to in mail.to} == {member.user.email, mate.user.email}
    letter = Writing.objects.get()
    page = as_coordinator.get(reverse("notices:writing", args=[letter.coop.slug, letter.pk]))
    assert f"{coordinator} wrote it" in text_of(page)


def test_under_notices_it_opens_the_letter_itself(as_member, letter, member):
    inbox = as_member.get(reverse("notices:inbox", args=[letter.coop.slug]))
    assert "Read the letter" in text_of(inbox)
    notice = Notice.objects.get(member=member)
    opened = as_member.post(reverse("notices:open", args=[letter.coop.slug, notice.pk]))
    assert opened.url == reverse("notices:writing", args=[letter.coop.slug, letter.pk])


def test_the_look_marks_whom_mail_does_not_reach(as_coordinator, address, asked, member):
    factories.make_member(member.household)
    make_mail(member, refused_at=NOW - timedelta(days=3), seen_at=NOW)
    look = text_of(as_coordinator.post(address + "look/", typed()))
    assert "Mail does not reach 1 of them." in look
    assert "Ines Castell: mail did not reach this address Sat 8 Aug at 9:00" in look


def test_looking_sends_nothing_and_keeps_what_was_typed(as_coordinator, address, asked):
    look = as_coordinator.post(address + "look/", typed())
    back = as_coordinator.post(address, seen_on(look) | {"change": "1"})
    assert back.context["form"]["text"].value() == TYPED["text"]
    assert not Writing.objects.exists()


def test_the_form_says_how_many_each_part_reaches(
    as_coordinator, address, asked, household, other_household_member
):
    factories.make_member(household)
    factories.make_household(household.coop, "Without anybody")
    page = text_of(as_coordinator.get(address))
    assert "Every household: 3 households, 4 people" in page
    assert "Who has not answered: 2 households, 2 people" in page
    assert "Who asked: 1 household, 2 people" in page


@pytest.mark.sqlite
def test_who_has_nobody_on_the_site_is_to_be_rung(as_coordinator, address, coop):
    factories.make_household(coop, "Eklund", phone="555 0199")
    look = as_coordinator.post(address + "look/", typed(part="everybody"))
    assert "Nobody of 1 household is on the site. Ring them: Eklund, 555 0199." in text_of(look)


@pytest.mark.sqlite
def test_a_letter_without_text_or_to_nobody_is_refused_with_all_that_was_typed(
    as_coordinator, address, asked
):
    for wrong in ({"text": " "}, {"title": ""}, {"part": "nobody"}, {"text": "x" * 4001}):
        for to in (address, address + "look/"):
            response = as_coordinator.post(to, typed(**wrong))
            assert response.status_code == 422
            assert "Not sent yet." in text_of(response)
    assert not Writing.objects.exists()


@pytest.mark.sqlite
def test_where_nobody_is_concerned_there_is_no_form(as_coordinator, coop):
    thing = equipment_factories.make_thing(coop)
    page = as_coordinator.get(reverse("notices:write", args=[coop.slug, "thing", thing.pk]))
    assert "Nobody to write to yet" in text_of(page)


# ---- once -----------------------------------------------------------------------------------
def test_a_form_sent_twice_is_one_letter(as_coordinator, address, asked):
    fields = seen_on(as_coordinator.post(address + "look/", typed()))
    first = as_coordinator.post(address, fields)
    again = as_coordinator.post(address, fields | {"text": "Altered."}, follow=True)
    assert again.redirect_chain == [(first.url, 302)]
    assert "went out a moment ago, once" in text_of(again)
    assert Writing.objects.get().text == TYPED["text"]
    assert len(post()) == 1


@pytest.mark.django_db(transaction=True)
def test_two_who_press_at_one_moment_send_one_letter(buy, asked, coordinator):
    once = uuid.uuid4()

    def send():
        acts.write(
            concern_for(coordinator, "buy", buy.pk),
            acts.Letter(**TYPED),
            by=coordinator,
            once=once,
        )

    assert at_once(send, send) == ["AlreadyWritten", "done"]
    assert Matter.objects.filter(kind="written").count() == 1


def test_when_somebody_asks_after_the_look_one_looks_again(
    as_coordinator, address, buy, asked, other_household_member
):
    fields = seen_on(as_coordinator.post(address + "look/", typed()))
    buy_factories.make_ask(buy_factories.the_line(buy), other_household_member.household)
    refused = as_coordinator.post(address, fields)
    assert refused.status_code == 422
    assert "Who gets it has changed" in text_of(refused)
    assert as_coordinator.post(address, seen_on(refused)).status_code == 302
    assert len(post()) == 2


def test_a_letter_is_never_altered(buy, asked, coordinator):
    letter = acts.write(
        concern_for(coordinator, "buy", buy.pk), acts.Letter(**TYPED), by=coordinator
    )
    for change in (lambda: Writing.objects.update(text="Other"), letter.delete):
        with pytest.raises(DatabaseError, match="writing_is_never_altered"), transaction.atomic():
            change()


def test_there_is_a_limit_a_day(as_coordinator, address, asked, monkeypatch):
    monkeypatch.setattr(acts, "MOST_A_DAY", 1)
    assert as_coordinator.post(address, typed()).status_code == 302
    refused = as_coordinator.post(address, typed())
    assert refused.status_code == 422
    assert "many times in a short while" in text_of(refused)
    assert Writing.objects.count() == 1


# ---- who ------------------------------------------------------------------------------------
def test_who_leads_the_buy_may_write_though_no_coordinator(coop, member, sign_in):
    buy = buy_factories.make_buy(coordinator=member)
    address = reverse("notices:write", args=[coop.slug, "buy", buy.pk])
    assert sign_in(member).post(address, typed(part="everybody")).status_code == 302


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("as_member", 403),
        ("as_treasurer", 403),
        ("as_other_household_member", 403),
        ("as_outsider", 404),
        ("as_stranger", 404),
        ("signed_out", 302),
    ],
)
def test_nobody_else_writes_to_them(who, status, request, address, asked):
    client = request.getfixturevalue(who)
    answers = {
        client.get(address).status_code,
        client.post(address, typed()).status_code,
        client.post(address + "look/", typed()).status_code,
    }
    assert answers == {status}
    assert not Writing.objects.exists()


def test_who_keeps_a_thing_may_write_to_who_booked_it(
    coop, household, as_member, other_household_member, coordinator, sign_in
):
    thing = equipment_factories.make_thing(coop, owner=household)
    equipment_factories.make_booking(thing, coordinator.household)
    address = reverse("notices:write", args=[coop.slug, "thing", thing.pk])
    assert as_member.post(address, typed(part="coming")).status_code == 302
    assert Notice.objects.get().member == coordinator
    assert sign_in(other_household_member).get(address).status_code == 403


# ---- the letter -----------------------------------------------------------------------------
@pytest.fixture
def letter(buy, asked, coordinator):
    """A letter to who asked."""
    concern = concern_for(coordinator, "buy", buy.pk)
    return acts.write(concern, acts.Letter(**TYPED), by=coordinator)


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("as_member", 200),
        ("as_coordinator", 200),
        ("as_treasurer", 403),
        ("as_other_household_member", 403),
        ("as_outsider", 404),
        ("as_stranger", 404),
        ("signed_out", 302),
    ],
)
def test_a_letter_is_read_by_whom_it_was_written_to(who, status, request, letter):
    client = request.getfixturevalue(who)
    address = reverse("notices:writing", args=[letter.coop.slug, letter.pk])
    assert client.get(address).status_code == status


@pytest.mark.sqlite
def test_only_who_may_write_sees_who_got_it(as_member, as_coordinator, letter):
    address = reverse("notices:writing", args=[letter.coop.slug, letter.pk])
    assert "Who got it" not in text_of(as_member.get(address))
    assert "Ines Castell" in text_of(as_coordinator.get(address)).split("Who got it")[1]


@pytest.mark.sqlite
def test_the_pages_ask_as_much_for_ten_households_as_for_twenty(as_coordinator, address, buy):
    counts = []
    for many in (10, 20):
        while buy.coop.households.count() <= many:  # the coordinator's is one, and does not ask
            asker = factories.make_member(factories.make_household(buy.coop))
            buy_factories.make_ask(buy_factories.the_line(buy), asker.household)
        with CaptureQueriesContext(connection) as queries:
            look = as_coordinator.post(address + "look/", typed())
        assert f"Send it to {many} households" in text_of(look)
        counts.append(len(queries))
    assert counts[0] == counts[1]
