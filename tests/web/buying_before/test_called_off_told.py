"""A buy called off is told to all who knew of it, and to who leads it; not to who called it off."""

from datetime import timedelta

import pytest

from coop.buying.actions.asks import give_up_ask
from coop.buying.actions.call_in import call_off, step_back
from coop.buying.models import Buy
from coop.buying.notices.asking import GRACE
from coop.buying.notices.buys import renew_buy
from coop.buying.notices.called_off import whom_it_tells
from coop.buying.notices.kinds import NEWS
from coop.notices.models import Choice, Matter
from tests.web.buy_factories import the_line
from tests.web.buys_told import SIX_TODAY, ask, dues, letters, order, posted
from tests.web.factories import NOW, make_member
from tests.web.notices.postman import post
from tests.web.reading import text_of

pytestmark = pytest.mark.django_db
HAIL = "Hail took the corn."
HAD_ASKED = ("Sweet corn: called off", "Do not come for it: this buy is called off.")
HAD_NOT = (
    "Sweet corn: called off",
    "You have nothing to do: this buy is called off, and you had not asked.",
)


@pytest.fixture
def buy(coordinator, member, other_household_member):
    """Asks are open; one household has asked."""
    buy = posted(coordinator)
    ask(buy, member)
    return buy


@pytest.fixture
def heir(other_household):
    """A second coordinator, of a household that did not ask."""
    return make_member(other_household, roles=["coordinator"])


# ---- Who is told ------------------------------------------------------------------------------
def test_who_was_asked_by_mail_and_said_nothing_is_told_too(
    buy, coordinator, member, other_household_member, clock
):
    clock.move_to(SIX_TODAY)
    letters()
    call_off(buy.pk, HAIL, by=coordinator)
    assert letters() == {member.user.email: HAD_ASKED, other_household_member.user.email: HAD_NOT}
    told = Matter.objects.get(household=other_household_member.household, dropped_at=None)
    assert told.details == [f"Why: {HAIL}"]


def test_who_was_shown_it_on_the_site_alone_is_told(
    buy, coordinator, other_household_member, clock
):
    clock.shift(GRACE)
    call_off(buy.pk, HAIL, by=coordinator)
    assert letters()[other_household_member.user.email] == HAD_NOT


def test_called_off_in_the_first_minutes_it_is_told_to_who_asked_alone(
    buy, coordinator, member, clock
):
    clock.shift(GRACE - timedelta(minutes=1))
    call_off(buy.pk, HAIL, by=coordinator)
    assert letters() == {member.user.email: HAD_ASKED}


def test_who_wants_no_notice_of_buys_was_not_told_and_is_not(
    buy, coordinator, other_household_member, clock
):
    for kind in ("buy_opens", "buy_closes"):
        Choice.objects.create(
            member=other_household_member, kind=kind, by_mail="never", on_site=False
        )
    renew_buy(buy.pk)
    Matter.objects.get(household=other_household_member.household, kind="buy_opens").notices.update(
        on_site=False, mail_at=None
    )
    clock.shift(timedelta(hours=2))
    call_off(buy.pk, HAIL, by=coordinator)
    assert other_household_member.user.email not in letters()


def test_who_gave_up_its_ask_is_left_in_peace(buy, coordinator, member, clock):
    clock.shift(GRACE)
    give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)
    call_off(buy.pk, HAIL, by=coordinator)
    assert member.user.email not in letters()


def test_once_it_was_called_in_only_those_who_asked_are_told(
    buy, coordinator, member, other_household_member, clock
):
    clock.shift(GRACE)
    order(buy, coordinator)
    letters()
    clock.shift(timedelta(hours=1))
    call_off(buy.pk, HAIL, by=coordinator)
    assert letters() == {member.user.email: HAD_ASKED}


def test_what_is_told_of_it_stays_as_it_is_however_often_it_is_looked_at(
    buy, coordinator, member, clock
):
    clock.move_to(SIX_TODAY)
    letters()
    call_off(buy.pk, HAIL, by=coordinator)
    post()
    clock.shift(timedelta(hours=3))
    assert not renew_buy(buy.pk)


def test_called_off_a_second_time_it_is_told_a_second_time(buy, coordinator, member, clock):
    for why in (HAIL, "The rest went too."):
        clock.shift(timedelta(hours=1))
        call_off(buy.pk, why, by=coordinator)
        assert letters()[member.user.email] == HAD_ASKED
        if why == HAIL:
            step_back(buy.pk, "Half of it stands.", by=coordinator)


# ---- Who did it, and who leads it -------------------------------------------------------------
def test_who_leads_it_is_told_that_another_called_it_off(buy, coordinator, heir, member):
    call_off(buy.pk, HAIL, by=heir)
    assert letters() == {
        member.user.email: HAD_ASKED,
        coordinator.user.email: (
            "Sweet corn: called off",
            f"You have nothing more to do: {heir.name} called off the buy that you lead.",
        ),
    }


def test_who_leads_it_and_asked_is_told_once_and_who_did_it_not_at_all(
    buy, coordinator, heir, member
):
    ask(buy, coordinator)
    ask(buy, heir)
    call_off(buy.pk, HAIL, by=heir)
    told = letters()
    assert told[coordinator.user.email] == HAD_ASKED
    assert dues(coordinator, NEWS.code) == [NOW]
    assert heir.user.email not in told
    others = heir.household.members.exclude(pk=heir.pk)
    assert {each.user.email for each in others} <= set(told)


def test_who_leads_it_is_told_that_another_called_it_in(buy, coordinator, heir, clock):
    order(buy, heir)
    assert letters()[coordinator.user.email] == (
        "Sweet corn: called in",
        f"See what {heir.name} called in of the buy that you lead.",
    )
    assert heir.user.email not in letters()


def test_who_calls_it_in_is_not_told_so(buy, coordinator):
    ask(buy, coordinator)
    order(buy, coordinator)
    assert coordinator.user.email not in letters()
    assert dues(coordinator, NEWS.code) == []


# ---- The pages --------------------------------------------------------------------------------
def test_the_page_of_calling_off_says_how_many_will_be_told(buy, as_coordinator, clock):
    clock.shift(GRACE)
    page = text_of(as_coordinator.get(f"/cottonwood/buys/{buy.pk}/call-off/"))
    assert (
        "Told at once, with your reason: 1 household that asked and 1 household that knew of the "
        "buy and had not asked." in page
    )


def test_before_anybody_knows_it_says_that_nobody_is_told(coordinator):
    assert whom_it_tells(posted(coordinator), NOW).endswith("nobody is told.")


def test_who_has_been_told_says_why_nobody_was(coordinator, member, as_coordinator):
    buy = posted(coordinator)
    ask(buy, coordinator)
    call_off(buy.pk, HAIL, by=coordinator)
    page = text_of(as_coordinator.get(f"/cottonwood/notices/about/buy/{buy.pk}/"))
    assert "Nobody: who did it needs no word of it." in page
    assert "no longer so Last day to change your ask Nobody: it was no longer so before" in page


def test_the_page_that_a_letter_leads_to_says_that_it_is_off_and_why_and_offers_nothing(
    buy, coordinator, as_coordinator
):
    address = f"/cottonwood/buys/{buy.pk}/lines/{the_line(buy).pk}/ask/"
    assert "Somebody phoned in" in text_of(as_coordinator.get(address))
    call_off(buy.pk, HAIL, by=coordinator)
    page = text_of(as_coordinator.get(address))
    assert f"This buy is called off. {HAIL}" in page
    for offered in ("taker", "Somebody phoned in", "Save", "Asks are closed"):
        assert offered not in page
    assert HAIL in text_of(as_coordinator.get(f"/cottonwood/buys/{buy.pk}/"))
    assert Buy.objects.get().called_off_why == HAIL
