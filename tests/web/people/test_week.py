"""This week tells each member what is due, and those who run a buy what waits for them."""

from datetime import timedelta

import pytest

from coop.buying.models import Release, SpareClaim
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Entry, Payment, SquareUp
from tests.web import buy_factories, factories
from tests.web.money.books import enter
from tests.web.reading import sections_of


@pytest.fixture
def look(sign_in):
    """The text of somebody's This week, by section."""

    def text(member):
        return sections_of(sign_in(member).get(f"/{member.coop.slug}/"))

    return text


@pytest.mark.sqlite  # about the page alone
def test_with_nothing_posted_a_member_reads_what_will_stand_here(look, member):
    assert "When a coordinator posts a buy" in look(member)["Nothing is due"]


@pytest.mark.sqlite  # about the page alone
def test_asks_that_close_soon_say_how_many_have_asked(look, member, coordinator):
    buy = buy_factories.make_buy(
        coordinator=coordinator, asks_close_at=factories.NOW + timedelta(hours=11)
    )
    buy_factories.make_ask(buy_factories.the_line(buy), coordinator.household)
    due = look(member)["Due from you"]
    assert "Say how much you want: Sweet corn today" in due
    assert "Asks close tonight at 20:00. 1 of 2 households has asked." in due


@pytest.mark.sqlite  # about the page alone
def test_who_has_asked_reads_what_they_asked_for(look, member, coordinator):
    buy = buy_factories.make_buy(coordinator=coordinator)
    buy_factories.make_ask(buy_factories.the_line(buy), member.household, 175)
    assert "You asked for 17.5 lb sweet corn" in look(member)["Due from you"]


@pytest.mark.sqlite  # about the page alone
def test_an_ask_given_up_is_no_ask(look, member, coordinator):
    buy = buy_factories.make_buy(coordinator=coordinator)
    buy_factories.make_ask(buy_factories.the_line(buy), member.household, 0)
    due = look(member)["Due from you"]
    assert "0 of 2 households have asked" in due


def test_what_is_called_in_is_expected_only_by_who_asked(
    look, member, other_household_member, coordinator
):
    buy_factories.make_called_in_buy(coordinator=coordinator, asks={member.household: 350})
    assert "Expect Sweet corn" in look(member)["Due from you"]
    assert "Due from you" not in look(other_household_member)


@pytest.mark.sqlite  # about the page alone
def test_a_share_is_to_be_fetched_where_and_when(look, member, coordinator):
    buy_factories.make_divided_buy(coordinator=coordinator, shares={member.household: 335})
    due = look(member)["Due from you"]
    assert "Fetch 33.5 lb sweet corn" in due
    assert "The barn behind the grange hall, 9:00 to 11:00." in due


def test_what_was_claimed_is_fetched_with_the_share(look, member, coordinator):
    buy = buy_factories.make_divided_buy(
        coordinator=coordinator, shares={member.household: 335}, left_over=15
    )
    spare = buy_factories.the_line(buy).divisions.get().spares.get()
    SpareClaim.objects.create(spare=spare, household=member.household, amount=15, by=member)
    assert "Fetch 35 lb sweet corn" in look(member)["Due from you"]


@pytest.mark.sqlite  # about the page alone
def test_what_is_fetched_is_no_longer_due(look, member, coordinator):
    buy = buy_factories.make_divided_buy(coordinator=coordinator, shares={member.household: 335})
    share = buy_factories.the_line(buy).divisions.get().shares.get()
    share.fetched_at, share.ticked_by = factories.NOW, coordinator
    share.save()
    assert "Fetch" not in look(member)["Due from you"]


@pytest.mark.sqlite  # about the page alone
def test_the_spare_table_offers_what_nobody_has_claimed(look, member, coordinator):
    buy = buy_factories.make_divided_buy(
        coordinator=coordinator, shares={coordinator.household: 335}, left_over=15
    )
    assert "1.5 lb sweet corn" in look(member)["Spare table"]
    spare = buy_factories.the_line(buy).divisions.get().spares.get()
    SpareClaim.objects.create(spare=spare, household=member.household, amount=15, by=member)
    assert "Spare table" not in look(member)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("make", "words"),
    (
        (buy_factories.make_called_in_buy, "Tally Sweet corn"),
        (buy_factories.make_collected_buy, "Divide Sweet corn"),
        (buy_factories.make_divided_buy, "Charge Sweet corn"),
    ),
)
def test_each_stage_waits_for_the_coordinator(look, coordinator, member, make, words):
    make(coordinator=coordinator)
    assert words in look(coordinator)["Waiting for you as coordinator"]
    assert not any(title.startswith("Waiting") for title in look(member))


@pytest.mark.sqlite  # about the page alone
def test_closed_asks_wait_to_be_called_in(look, coordinator):
    buy_factories.make_buy(
        coordinator=coordinator, asks_close_at=factories.NOW - timedelta(hours=13)
    )
    waiting = look(coordinator)["Waiting for you as coordinator"]
    assert "Call in Sweet corn" in waiting
    assert "Asks closed yesterday at 20:00" in waiting


@pytest.mark.sqlite  # about the page alone
def test_the_treasurer_is_asked_to_charge_but_not_to_divide(look, treasurer, coordinator):
    buy_factories.make_collected_buy(coordinator=coordinator, title="Peaches")
    buy_factories.make_divided_buy(coordinator=coordinator)
    waiting = look(treasurer)["Waiting for you as treasurer"]
    assert "Charge Sweet corn" in waiting
    assert "Peaches" not in waiting


@pytest.mark.sqlite  # about the page alone
def test_a_household_that_owes_reads_how_much(look, member, coordinator, other_household):
    flows = [Flow(other_household.account, member.household.account, 3840)]
    post_entry(member.coop, Entry.Kind.PAID_IN, flows, title="Lent", by=coordinator)
    assert "$38.40" in look(member)["You owe"]


def test_a_payment_waits_for_who_pays_then_for_who_gets_it(
    look, member, other_household_member, treasurer
):
    round_ = SquareUp.objects.create(coop=member.coop, made_by=treasurer, proven_fewest=True)
    payer, payee = member.household.account, other_household_member.household.account
    payment = Payment.objects.create(square_up=round_, payer=payer, payee=payee, cents=3840)
    enter(other_household_member.household, member.household, 3840, by=treasurer)
    assert "Pay Dufresne $38.40" in look(member)["Due from you"]
    assert "Due from you" not in look(other_household_member)
    payment.paid_at, payment.paid_by = factories.NOW, member
    payment.save()
    assert "Due from you" not in look(member)
    assert "Did $38.40 from Castell arrive?" in look(other_household_member)["Due from you"]


@pytest.mark.sqlite  # about the page alone
def test_what_the_till_gets_is_confirmed_by_the_treasurer(look, member, treasurer):
    round_ = SquareUp.objects.create(coop=member.coop, made_by=treasurer, proven_fewest=True)
    till = member.coop.accounts.get(kind="till")
    Payment.objects.create(
        square_up=round_,
        payer=member.household.account,
        payee=till,
        cents=500,
        paid_at=factories.NOW,
        paid_by=member,
    )
    assert "Did $5.00 from Castell arrive?" in look(treasurer)["Waiting for you as treasurer"]


def test_another_coops_buys_are_not_told(look, member, outsider):
    buy_factories.make_buy(outsider.coop, coordinator=outsider, title="Plums")
    assert "Plums" not in str(look(member))


@pytest.mark.sqlite  # as many queries on any database
def test_the_page_asks_the_database_as_often_for_ten_buys_as_for_twenty(
    as_coordinator, coordinator, django_assert_max_num_queries, django_assert_num_queries
):
    offer = factories.make_offer(factories.make_farm(coordinator.coop))

    def buys(number):
        for _ in range(number):
            buy_factories.make_divided_buy(
                coordinator=coordinator,
                offers=[offer],
                shares={coordinator.household: 335},
                left_over=15,
            )

    address = f"/{coordinator.coop.slug}/"
    buys(10)
    with django_assert_max_num_queries(30) as first:
        page = as_coordinator.get(address).content.decode()
    assert page.count("Fetch 33.5") == 10
    buys(10)
    with django_assert_num_queries(len(first)):
        page = as_coordinator.get(address).content.decode()
    assert page.count("Fetch 33.5") == 20


def test_it_comes_in_the_order_in_which_it_is_due(look, member, coordinator):
    for title, hours in (("Plums", 60), ("Beans", 20), ("Apples", 40)):
        close = factories.NOW + timedelta(hours=hours)
        buy_factories.make_buy(coordinator=coordinator, title=title, asks_close_at=close)
    due = look(member)["Due from you"]
    assert due.index("Beans") < due.index("Apples") < due.index("Plums")


@pytest.mark.sqlite  # about the page alone
def test_what_another_household_cannot_take_looks_for_a_taker(
    look, member, other_household_member, coordinator
):
    wanted = {member.household: 350}
    buy = buy_factories.make_called_in_buy(coordinator=coordinator, asks=wanted)
    ask = buy_factories.the_line(buy).asks.get()
    Release.objects.create(ask=ask, amount=100, offered_by=member)
    sought = look(other_household_member)["Looking for a taker"]
    assert "10 lb sweet corn Castell cannot take it" in sought
    assert "Looking for a taker" not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_a_farm_that_is_owed_waits_for_the_treasurer(look, treasurer, coordinator):
    buy = buy_factories.make_divided_buy(coordinator=coordinator)
    farm = buy_factories.the_supply(buy).farm
    flows = [Flow(farm.account, buy.account, 4800)]
    post_entry(buy.coop, Entry.Kind.PRODUCE, flows, title="Corn", by=coordinator)
    waiting = look(treasurer)["Waiting for you as treasurer"]
    assert f"Pay {farm.name} $48.00" in waiting
    assert "$48.00" not in str(look(coordinator))


@pytest.mark.sqlite  # about the page alone
def test_who_stands_as_they_did_pays_though_others_have_moved(
    look, member, other_household_member, coordinator, treasurer
):
    round_ = SquareUp.objects.create(coop=member.coop, made_by=treasurer, proven_fewest=True)
    payer, payee = member.household.account, other_household_member.household.account
    enter(other_household_member.household, member.household, 3840, by=treasurer)
    Payment.objects.create(square_up=round_, payer=payer, payee=payee, cents=3840)
    elsewhere = {"payer": coordinator.household.account, "payee": treasurer.household.account}
    Payment.objects.create(square_up=round_, cents=100, **elsewhere)
    assert "Wait before" not in str(look(member)["Due from you"])
    assert "Wait before" in str(look(coordinator)["Due from you"])


@pytest.mark.sqlite  # about the page alone
def test_a_payment_that_money_has_moved_past_says_to_wait(
    look, member, other_household_member, treasurer
):
    round_ = SquareUp.objects.create(coop=member.coop, made_by=treasurer, proven_fewest=True)
    payer, payee = member.household.account, other_household_member.household.account
    Payment.objects.create(square_up=round_, payer=payer, payee=payee, cents=3840)
    enter(other_household_member.household, member.household, 1000, by=treasurer)
    assert "Wait before you pay Dufresne $38.40" in look(member)["Due from you"]
