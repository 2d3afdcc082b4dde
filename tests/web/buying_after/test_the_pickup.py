"""The pickup: ticked as people come, in one tap, on screen and on paper."""

import pytest
from bs4 import BeautifulSoup

from coop.buying.models import Share, Spare, SpareClaim
from coop.people.models import Change
from tests.web import buy_factories as rows
from tests.web import factories

HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def share(divided, household):
    return Share.objects.get(household=household)


@pytest.fixture
def claim(divided, other_household, other_household_member):
    return SpareClaim.objects.create(
        spare=Spare.objects.get(), household=other_household, amount=20, by=other_household_member
    )


@pytest.mark.sqlite  # about the page alone
def test_everybody_stands_there_with_what_they_get(as_member, divided, at):
    text = as_member.get(at("pickup", divided.pk)).content.decode()
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    assert "Castell" in text
    assert "40 lb" in text
    assert "Still to fetch: 2 of 2 households" in text


def test_a_share_is_ticked_with_who_and_when(as_coordinator, coordinator, share, at):
    answer = as_coordinator.post(at("tick_share", share.pk))
    assert (
        answer.url == f"{at('pickup', share.division.line.buy_id)}#household-{share.household_id}"
    )
    share.refresh_from_db()
    assert (share.fetched_at, share.ticked_by) == (factories.NOW, coordinator)


def test_a_tick_made_by_mistake_is_taken_back(as_coordinator, share, divided, at):
    as_coordinator.post(at("tick_share", share.pk))
    as_coordinator.post(at("untick_share", share.pk))
    share.refresh_from_db()
    assert (share.fetched_at, share.ticked_by) == (None, None)
    assert Change.objects.filter(about=f"buy:{divided.pk}").count() == 2


def test_one_tap_ticks_all_that_is_there_for_a_household(
    as_coordinator, divided, other_household, claim, at
):
    as_coordinator.post(at("tick_household", divided.pk, other_household.pk))
    claim.refresh_from_db()
    assert claim.fetched_at == factories.NOW
    assert Share.objects.get(household=other_household).fetched_at == factories.NOW
    assert Share.objects.exclude(household=other_household).get().fetched_at is None


def test_a_claim_is_ticked_and_unticked(as_coordinator, claim, at):
    as_coordinator.post(at("tick_claim", claim.pk))
    claim.refresh_from_db()
    assert claim.fetched_at == factories.NOW
    as_coordinator.post(at("untick_claim", claim.pk))
    claim.refresh_from_db()
    assert claim.fetched_at is None


@pytest.mark.sqlite  # about the page alone
def test_where_script_runs_the_card_and_the_sums_change(as_coordinator, share, at):
    answer = as_coordinator.post(at("tick_share", share.pk), **HTMX)
    soup = BeautifulSoup(answer.content, "html.parser")
    assert [tag.name for tag in soup.find_all(recursive=False)] == ["article", "section"]
    assert soup.article["id"] == f"household-{share.household_id}"
    assert "fetched" in soup.article.get_text()
    assert soup.section["hx-swap-oob"] == "true"
    text = soup.section.get_text().replace("\N{NO-BREAK SPACE}", " ")
    assert "Still to fetch: 1 of 2 households" in text
    assert "40 lb fetched, 20 lb waiting" in text


@pytest.mark.sqlite  # about the page alone
def test_the_sums_that_change_are_those_of_the_page(as_coordinator, share, divided, at):
    part = as_coordinator.post(at("tick_share", share.pk), **HTMX)
    page = as_coordinator.get(at("pickup", divided.pk))
    changed, shown = (BeautifulSoup(each.content, "html.parser") for each in (part, page))
    sums = shown.find(id="pickup-sums")
    assert sums.get_text() == changed.section.get_text()
    assert not sums.has_attr("hx-swap-oob")


def test_what_is_ticked_is_not_ticked_twice(as_coordinator, share, divided, at):
    as_coordinator.post(at("tick_share", share.pk))
    answer = as_coordinator.post(at("tick_share", share.pk))
    assert answer.status_code == 409
    assert "has fetched it already" in answer.content.decode()
    page = at("tick_household", divided.pk, share.household_id)
    assert as_coordinator.post(page).status_code == 409


def test_what_is_on_the_spare_table_is_not_handed_over(as_coordinator, share, at):
    Share.objects.filter(pk=share.pk).update(released_at=factories.NOW)
    answer = as_coordinator.post(at("tick_share", share.pk))
    assert answer.status_code == 409
    assert "on the spare table by now" in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ("tick_share", "untick_share"))
def test_a_member_without_the_role_ticks_nothing(as_member, share, at, name):
    assert as_member.post(at(name, share.pk)).status_code == 403
    share.refresh_from_db()
    assert share.fetched_at is None


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ("tick_claim", "untick_claim"))
def test_nor_a_claim(as_member, claim, at, name):
    assert as_member.post(at(name, claim.pk)).status_code == 403


@pytest.mark.sqlite  # about the page alone
def test_nor_a_household(as_member, divided, household, at):
    assert as_member.post(at("tick_household", divided.pk, household.pk)).status_code == 403


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_shares_are_not_there(as_outsider, divided, share, claim, household, at):
    for page in (
        at("tick_share", share.pk),
        at("untick_share", share.pk),
        at("tick_claim", claim.pk),
        at("untick_claim", claim.pk),
        at("tick_household", divided.pk, household.pk),
    ):
        assert as_outsider.post(page).status_code == 404
    assert as_outsider.get(at("pickup", divided.pk)).status_code == 404
    assert as_outsider.get(at("pickup_sheet", divided.pk)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_ticking_is_never_done_by_looking(as_coordinator, divided, share, claim, household, at):
    for page in (
        at("tick_share", share.pk),
        at("untick_share", share.pk),
        at("tick_claim", claim.pk),
        at("untick_claim", claim.pk),
        at("tick_household", divided.pk, household.pk),
        at("release_unfetched", divided.pk),
    ):
        assert as_coordinator.get(page).status_code == 405
    share.refresh_from_db()
    assert share.fetched_at is None


def test_a_withdrawn_divisions_share_is_gone(as_coordinator, share, at):
    share.division.withdrawn_at = factories.NOW
    share.division.save()
    assert as_coordinator.post(at("tick_share", share.pk)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_the_sheet_has_a_box_for_each_and_what_it_owes(as_member, divided, household, at):
    soup = BeautifulSoup(as_member.get(at("pickup_sheet", divided.pk)).content, "html.parser")
    rows_shown = soup.select("table tbody tr")
    assert len(rows_shown) == 2
    assert len(soup.select(".pen-box")) == 2
    assert "40" in rows_shown[0].get_text()


@pytest.mark.sqlite  # about the page alone
def test_before_the_division_there_is_nothing_to_fetch(as_member, short_buy, at):
    assert "Nothing to fetch yet" in as_member.get(at("pickup", short_buy.pk)).content.decode()
    assert as_member.get(at("pickup_sheet", short_buy.pk)).status_code == 200


def test_a_household_that_got_nothing_has_nothing_to_fetch(as_member, coordinator, household, at):
    buy = rows.make_divided_buy(coordinator.coop, coordinator=coordinator, asks={household: 350})
    Share.objects.update(amount=0)
    text = as_member.get(at("pickup", buy.pk)).content.decode()
    assert "Still to fetch: 0 of" in text
