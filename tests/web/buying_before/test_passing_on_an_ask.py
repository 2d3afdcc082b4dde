"""After the close an ask changes only by finding a taker."""

import pytest
from django.http import Http404

from coop.buying.actions.releases import release_ask, take_release, withdraw_release
from coop.buying.errors import AsksClosed, NotAllowed, Refused, TooLate, WrongStage
from coop.buying.models import Ask, Release
from tests.web.buy_factories import (
    make_ask,
    make_buy,
    make_called_in_buy,
    make_collected_buy,
    the_line,
)


@pytest.fixture
def buy(coop, coordinator, household, other_household):
    """Called in: the member's household asked for 35 lb, the other one for 17.5 lb."""
    return make_called_in_buy(
        coop, coordinator=coordinator, asks={household: 350, other_household: 175}
    )


@pytest.fixture
def ask(buy, household):
    return Ask.objects.get(household=household)


def wanted(household):
    return Ask.objects.get(household=household).wanted


def test_a_taker_takes_over_part_of_an_ask(buy, ask, member, other_household_member):
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    assert wanted(member.household) == 350
    taker = other_household_member
    take_release(buy.pk, release.pk, household=taker.household, by=taker)
    assert (wanted(member.household), wanted(taker.household)) == (250, 275)


def test_what_is_asked_together_stays_the_same(buy, ask, member, coordinator):
    release = release_ask(buy.pk, ask.pk, 350, by=member)
    household = coordinator.household
    take_release(buy.pk, release.pk, household=household, by=coordinator, accept_rules=True)
    assert sum(Ask.objects.values_list("wanted", flat=True)) == 525
    assert (wanted(member.household), wanted(household)) == (0, 350)


def test_a_taker_new_to_the_buy_accepts_its_rules(buy, ask, member, coordinator):
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    with pytest.raises(Refused) as refusal:
        take_release(buy.pk, release.pk, household=coordinator.household, by=coordinator)
    assert refusal.value.field == "accept_rules"
    assert wanted(member.household) == 350


def test_minimum_and_maximum_shrink_with_the_ask(buy, ask, member, other_household_member):
    Ask.objects.filter(pk=ask.pk).update(at_least=300, at_most=500)
    release = release_ask(buy.pk, ask.pk, 150, by=member)
    taker = other_household_member
    take_release(buy.pk, release.pk, household=taker.household, by=taker)
    ask.refresh_from_db()
    assert (ask.wanted, ask.at_least, ask.at_most) == (200, 200, 350)


def test_only_the_first_taker_takes(buy, ask, member, coordinator, other_household_member):
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    taker = other_household_member
    take_release(buy.pk, release.pk, household=taker.household, by=taker)
    with pytest.raises(TooLate):
        take_release(
            buy.pk,
            release.pk,
            household=coordinator.household,
            by=coordinator,
            accept_rules=True,
        )
    assert wanted(member.household) == 250


def test_more_than_the_ask_cannot_be_passed_on(buy, ask, member):
    release_ask(buy.pk, ask.pk, 300, by=member)
    with pytest.raises(Refused) as refusal:
        release_ask(buy.pk, ask.pk, 100, by=member)
    assert refusal.value.field == "amount"


@pytest.mark.parametrize("amount", [0, 3, 351])
def test_an_amount_that_cannot_be_is_refused(buy, ask, member, amount):
    with pytest.raises(Refused):
        release_ask(buy.pk, ask.pk, amount, by=member)
    assert not Release.objects.exists()


def test_what_is_withdrawn_cannot_be_taken(buy, ask, member, other_household_member):
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    withdraw_release(buy.pk, release.pk, by=member)
    taker = other_household_member
    with pytest.raises(TooLate):
        take_release(buy.pk, release.pk, household=taker.household, by=taker)
    with pytest.raises(TooLate):
        withdraw_release(buy.pk, release.pk, by=member)


def test_nobody_takes_their_own(buy, ask, member):
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    with pytest.raises(Refused, match="own offer"):
        take_release(buy.pk, release.pk, household=member.household, by=member)


def test_a_taker_of_whole_containers_takes_whole_ones(buy, ask, member, other_household_member):
    taker = other_household_member
    Ask.objects.filter(household=taker.household).update(wanted=350, whole=350)
    release = release_ask(buy.pk, ask.pk, 100, by=member)
    with pytest.raises(Refused, match="whole containers"):
        take_release(buy.pk, release.pk, household=taker.household, by=taker)


def test_another_household_passes_nothing_on_for_one(buy, ask, other_household_member, outsider):
    with pytest.raises(NotAllowed):
        release_ask(buy.pk, ask.pk, 100, by=other_household_member)
    with pytest.raises(Http404):
        release_ask(buy.pk, ask.pk, 100, by=outsider)


def test_while_asks_are_open_one_simply_changes_the_ask(coop, member):
    buy = make_buy(coop)
    ask = make_ask(the_line(buy), member.household)
    with pytest.raises(AsksClosed):
        release_ask(buy.pk, ask.pk, 100, by=member)


def test_once_tallied_it_goes_over_the_spare_table(coop, member):
    buy = make_collected_buy(coop, asks={member.household: 350})
    with pytest.raises(WrongStage, match="spare table"):
        release_ask(buy.pk, Ask.objects.get().pk, 100, by=member)
