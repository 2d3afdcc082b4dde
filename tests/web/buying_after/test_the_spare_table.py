"""The spare table: first come, first served, and what each household has then."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from bs4 import BeautifulSoup
from django.db import IntegrityError, connection, connections, transaction

from coop.buying.actions.charges import charge_produce
from coop.buying.actions.spare import claim_spare
from coop.buying.errors import Refused, TooLate
from coop.buying.models import Buy, Share, Spare, SpareClaim
from coop.buying.queries.shares import amounts_got
from coop.money.queries.balances import balance_of
from tests.web import buy_factories as rows
from tests.web import factories


@pytest.fixture
def spare(divided):
    """5 lb that the division left over."""
    return Spare.objects.get()


@pytest.fixture
def unfetched(divided, household):
    """The 40 lb of a household that did not come."""
    share = Share.objects.get(household=household)
    Share.objects.filter(pk=share.pk).update(released_at=factories.NOW)
    return Spare.objects.create(division=share.division, share=share, amount=400)


@pytest.fixture
def claim(as_other_household_member, other_household, at):
    def sent(spare, amount="5", client=as_other_household_member, household=other_household):
        typed = {"amount": amount, "household": household.pk}
        return client.post(at("claim_spare", spare.pk), typed)

    return sent


def got(buy):
    """What each household has of the first line."""
    return amounts_got(buy)[rows.the_line(buy).pk]


@pytest.mark.sqlite  # about the page alone
def test_what_is_left_over_stands_there_with_its_price(as_member, spare, at):
    # 65 lb were tallied at a bill of $48.00: 2 bushels at $24.00.
    text = as_member.get(at("spare")).content.decode().replace("\N{NO-BREAK SPACE}", " ")
    assert "5 lb Sweet corn" in text
    assert "Left over by the division" in text
    assert "a lb" in text


def test_a_claim_is_the_households(claim, spare, divided, other_household, at):
    assert claim(spare).url == at("spare", divided.pk)
    assert SpareClaim.objects.get().amount == 50
    assert got(divided)[other_household.pk] == 250


def test_part_of_it_leaves_the_rest_for_others(claim, spare, as_member, at):
    claim(spare, "2")
    text = as_member.get(at("spare")).content.decode().replace("\N{NO-BREAK SPACE}", " ")
    assert "3 lb Sweet corn" in text
    assert "Dufresne took 2 lb" in text


def test_what_others_claim_of_a_share_is_theirs(
    claim, unfetched, divided, household, other_household
):
    claim(unfetched, "15")
    assert got(divided) == {household.pk: 250, other_household.pk: 350}


def test_who_comes_late_claims_what_is_left_of_its_own(
    claim, unfetched, divided, household, as_member
):
    claim(unfetched, "15")
    assert claim(unfetched, "25", as_member, household).status_code == 302
    assert got(divided)[household.pk] == 250


@pytest.mark.parametrize(
    ("amount", "sentence"),
    (("5.5", "is left"), ("0.3", "in steps of"), ("0", "above zero"), ("", "required")),
)
def test_what_cannot_be_claimed_is_refused_with_what_was_typed(claim, spare, amount, sentence):
    answer = claim(spare, amount)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not SpareClaim.objects.exists()


def test_all_that_is_left_may_be_less_than_a_step(claim, spare):
    Spare.objects.update(amount=3)
    assert claim(spare, "0.3").status_code == 302


def test_whoever_comes_second_is_told(claim, spare):
    claim(spare)
    answer = claim(spare)
    assert answer.status_code == 409
    assert "Somebody was first" in answer.content.decode()


def test_nobody_claims_for_another_household(claim, spare, household):
    assert claim(spare, household=household).status_code == 422
    assert not SpareClaim.objects.exists()


def test_a_coordinator_claims_for_a_household_that_phones_in(
    claim, spare, as_coordinator, household
):
    assert claim(spare, client=as_coordinator, household=household).status_code == 302
    assert SpareClaim.objects.get().household == household


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_table_is_not_there(claim, spare, as_outsider, divided, at):
    assert claim(spare, client=as_outsider).status_code == 404
    assert as_outsider.get(at("spare", divided.pk)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_looking_claims_nothing(as_member, spare, at):
    assert as_member.get(at("claim_spare", spare.pk)).status_code == 200
    assert not SpareClaim.objects.exists()


def test_a_withdrawn_spare_is_not_there(claim, spare):
    Spare.objects.update(withdrawn_at=factories.NOW)
    assert claim(spare).status_code == 404


def test_a_squared_buy_has_no_table(claim, spare, as_member, at):
    Buy.objects.update(stage=Buy.Stage.SQUARED)
    assert claim(spare).status_code == 409
    soup = BeautifulSoup(as_member.get(at("spare")).content, "html.parser")
    assert "The table is empty" in soup.get_text()


def test_a_claim_made_after_the_charge_is_charged_at_once(
    claim, unfetched, divided, coordinator, household, other_household
):
    charge_produce(divided, by=coordinator)
    before = [balance_of(each.account) for each in (household, other_household)]
    claim(unfetched, "10")
    after = [balance_of(each.account) for each in (household, other_household)]
    assert after[0] - before[0] == before[1] - after[1] > 0


def test_the_database_never_gives_out_more_than_is_there(spare, household, member):
    with pytest.raises(IntegrityError), transaction.atomic():
        SpareClaim.objects.create(spare=spare, household=household, amount=51, by=member)


def test_of_two_who_claim_all_of_it_at_once_one_gets_it(transactional_db):
    households = [factories.make_household(factories.make_coop())]
    households.append(factories.make_household(households[0].coop))
    buy = rows.make_divided_buy(
        households[0].coop, shares=dict.fromkeys(households, 300), left_over=50
    )
    members = [factories.make_member(household) for household in households]
    barrier = Barrier(2, timeout=20)

    def take(member):
        try:
            connection.ensure_connection()
            barrier.wait()
            claim_spare(Spare.objects.get(), member.household, 50, by=member)
        except (TooLate, Refused) as refusal:
            return type(refusal).__name__
        finally:
            connections.close_all()
        return "taken"

    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(take, members))
    assert sorted(results) == ["TooLate", "taken"]
    assert sum(got(buy).values()) == 650
