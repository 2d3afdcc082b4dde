"""The page on which a member makes, renews and ends the private address of their calendar."""

import pytest
from bs4 import BeautifulSoup
from django.urls import reverse

from coop.notices.actions.feeds import end_feed, renew_feed
from coop.notices.models import Choice, Wishes
from tests.web.factories import NOW
from tests.web.notice_factories import START, know_the_kinds

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def page(coop):
    return reverse("notices:calendar", args=[coop.slug])


@pytest.fixture
def renew(coop):
    return reverse("notices:renew_feed", args=[coop.slug])


@pytest.fixture
def end(coop):
    return reverse("notices:end_feed", args=[coop.slug])


def soup(answer):
    return BeautifulSoup(answer.content, "html.parser")


def shown(client, page):
    """The address that the page shows; None while there is none."""
    field = soup(client.get(page)).find(id="feed-address")
    return field and field["value"]


def test_before_there_is_an_address_the_page_has_one_button_to_make_it(member, as_member, page):
    found = soup(as_member.get(page))
    assert [each.text for each in found.select(".button-main")] == ["Make the address"]
    assert not Wishes.objects.exists()


def test_the_address_that_was_made_opens_the_calendar_to_a_program(
    member, as_member, signed_out, page, renew
):
    answer = as_member.post(renew)
    assert answer.url == page
    address = shown(as_member, page)
    assert address.startswith("http://testserver/feeds/")
    assert signed_out.get(address).headers["Content-Type"].startswith("text/calendar")


def test_each_member_sees_their_own(member, other_household_member, sign_in, page):
    renew_feed(by=member)
    assert shown(sign_in(member), page)
    assert shown(sign_in(other_household_member), page) is None


def test_a_new_address_needs_a_yes_and_looking_changes_nothing(member, as_member, renew, end):
    secret = renew_feed(by=member)
    for address in (renew, end):
        assert "stops at once" in as_member.get(address).content.decode()
    assert Wishes.objects.get().feed_secret == secret


def test_made_anew_the_page_shows_the_new_one_alone(member, as_member, signed_out, page, renew):
    renew_feed(by=member)
    old = shown(as_member, page)
    as_member.post(renew)
    new = shown(as_member, page)
    assert old != new
    assert (signed_out.get(old).status_code, signed_out.get(new).status_code) == (404, 200)


def test_ended_there_is_none_and_it_can_be_made_again(member, as_member, page, renew, end):
    renew_feed(by=member)
    assert as_member.post(end).url == page
    assert shown(as_member, page) is None
    as_member.post(renew)
    assert shown(as_member, page)


def test_ending_what_is_not_there_does_no_harm(member):
    end_feed(by=member)
    assert Wishes.objects.get().feed_secret is None


def test_what_a_member_wants_else_stays_when_the_address_changes(member):
    Wishes.objects.create(member=member, quiet=False, changed_at=NOW)
    renew_feed(by=member)
    end_feed(by=member)
    assert Wishes.objects.get().quiet is False


@pytest.mark.parametrize(("scheme", "link"), [("http", "webcal:"), ("https", "webcals:")])
def test_where_pages_come_encrypted_no_link_sends_the_secret_in_plain(
    member, as_member, page, scheme, link
):
    renew_feed(by=member)
    found = soup(as_member.get(page, secure=scheme == "https"))
    address = found.find(id="feed-address")["value"]
    assert address.startswith(f"{scheme}:")
    links = [each["href"] for each in found.find_all("a") if "/feeds/" in each["href"]]
    assert links == [address.replace(f"{scheme}:", link)]


def test_no_browser_keeps_the_page_and_no_other_site_learns_of_it(member, as_member, page):
    renew_feed(by=member)
    headers = as_member.get(page).headers
    assert "no-store" in headers["Cache-Control"]
    assert headers["Referrer-Policy"] == "same-origin"


def test_the_page_says_what_stands_in_it_and_when_its_alarms_come(member, as_member, page):
    said = soup(as_member.get(page)).text
    assert START.words in said
    assert START.timings[0].words in said
    Choice.objects.create(member=member, kind=START.code, by_mail="never", calendar="silent")
    row = soup(as_member.get(page)).find("p", string=START.words)
    assert row.find_next_sibling("p").text == "no alarm"


def test_an_address_cannot_be_made_from_another_site(member, sign_in, renew):
    client = sign_in(member)
    client.handler.enforce_csrf_checks = True
    assert client.post(renew).status_code == 403
    assert not Wishes.objects.exists()
