"""What each household would pay if the buy closed now, and what stands behind it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Buy, Charge
from coop.buying.queries.cover import cover_of, pledged_cents
from coop.buying.queries.estimate import estimate_of, pasts_of
from coop.buying.queries.lines import lines_of
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Account, Entry
from tests.web.buy_factories import (
    make_ask,
    make_buy,
    make_called_in_buy,
    make_collected_buy,
    make_division,
    make_line,
    make_supply,
    the_line,
    the_supply,
)
from tests.web.factories import NOW, make_coop, make_farm, make_household, make_offer


def estimate(buy, counts):
    lines = lines_of([buy])
    return estimate_of(buy, lines, counts, pasts=pasts_of(buy, lines))


def pay_in(household, cents, *, by):
    till = Account.objects.get(coop=household.coop, kind=Account.Kind.TILL)
    flow = Flow(household.account, till, cents)
    return post_entry(household.coop, Entry.Kind.PAID_IN, [flow], title="Paid in", by=by)


def test_goods_are_shared_by_what_each_gets(coop, household, other_household):
    # By hand: 3 bushels at $24 are $72 for 105 lb; 70 lb cost $48, 35 lb cost $24.
    buy = make_buy(coop)
    make_ask(the_line(buy), household, 700)
    make_ask(the_line(buy), other_household, 350)
    found = estimate(buy, {the_supply(buy).pk: 3})
    assert found.cents_by_household == {household.pk: 4800, other_household.pk: 2400}
    assert found.total_cents == 7200


def test_what_nobody_asked_for_is_charged_to_nobody(coop, household):
    # By hand: 2 bushels at $24 are $48 for 70 lb, of which 20 lb were not asked for: 20/70.
    buy = make_buy(coop)
    make_ask(the_line(buy), household, 500)
    found = estimate(buy, {the_supply(buy).pk: 2})
    assert found.lines[0].surplus == 200
    assert (found.cents_by_household[household.pk], found.unclaimed_cents) == (3429, 1371)


def test_a_shortage_goes_by_the_buys_rule(coop, household, other_household):
    buy = make_buy(coop, shortage_rule="even")
    make_ask(the_line(buy), household, 700)
    make_ask(the_line(buy), other_household, 350)
    shares = estimate(buy, {the_supply(buy).pk: 2}).lines[0].shares
    assert shares == {household.pk: 350, other_household.pk: 350}


def test_minimums_that_cannot_be_covered_are_said_and_not_raised(coop, household, other_household):
    buy = make_buy(coop)
    for each in (household, other_household):
        make_ask(the_line(buy), each, 350, at_least=350)
    line = estimate(buy, {the_supply(buy).pk: 1}).lines[0]
    assert (line.missing, sum(line.shares.values())) == (350, 350)


def two_trips(basis):
    """A near farm for corn and a far one for beans; `both` asks for both, `one` for corn."""
    coop = make_coop()
    buy = make_buy(coop, offers=(), fuel_basis=basis)
    both, one = make_household(coop, "Both"), make_household(coop, "One")
    for produce, trip in (("Corn", 800), ("Beans", 1100)):
        offer = make_offer(make_farm(coop), produce, prices=[(1, 1000)])
        make_supply(make_line(buy, offer), offer, trip_cents=trip)
    for line, homes in zip(buy.lines.all(), ((both, one), (both,)), strict=True):
        for home in homes:
            make_ask(line, home, 350)
    supplies = [line.supplies.get() for line in buy.lines.all()]
    counts = {supplies[0].pk: 2, supplies[1].pk: 1}
    trips = estimate(buy, counts).trip_cents_by_household
    return trips[both.pk], trips[one.pk]


def test_trips_are_shared_on_the_buys_basis(db):
    assert two_trips(Buy.Basis.EQUALLY) == (950, 950)
    # By share: goods of $20 and $10, so 2/3 and 1/3 of $19.
    assert two_trips(Buy.Basis.BY_SHARE) == (1267, 633)
    # By trip: longest trips of $11 and $8; the airport rule gives 4 + 3 and 4 (Littlechild and
    # Owen, 1973), and 7/11 and 4/11 of $19 are $12.09 and $6.91.
    assert two_trips(Buy.Basis.BY_TRIP) == (1209, 691)


# ---- cover ----------------------------------------------------------------------------------
@pytest.fixture
def buy(coop, coordinator, household, other_household):
    """Two households ask for a bushel each, at $24."""
    buy = make_buy(coop, coordinator=coordinator)
    for each in (household, other_household):
        make_ask(the_line(buy), each, 350)
    return buy


def test_balances_cover_up_to_what_each_would_pay(buy, household, other_household, treasurer):
    pay_in(household, 3000, by=treasurer)
    pay_in(other_household, 1000, by=treasurer)
    cover = cover_of(buy)
    assert cover.covered_cents_by_household == {household.pk: 2400, other_household.pk: 1000}
    assert (cover.short_cents, cover.is_covered) == (1400, False)
    assert cover.short_cents_of(other_household.pk) == 1400


def test_who_owes_covers_nothing(buy, household, other_household, treasurer):
    flow = Flow(other_household.account, household.account, 5000)
    post_entry(buy.coop, Entry.Kind.COST, [flow], title="Lids", by=treasurer)
    assert cover_of(buy).covered_cents_by_household == {household.pk: 0, other_household.pk: 2400}


def test_who_fronts_covers_up_to_the_limit(buy, household):
    buy.cover, buy.fronted_by, buy.front_limit_cents = Buy.Cover.FRONTED, household, 4700
    assert cover_of(buy).short_cents == 100
    buy.front_limit_cents = 4800
    assert cover_of(buy).is_covered


def test_a_balance_is_not_leaned_on_by_two_buys_at_once(buy, coop, household, treasurer):
    pay_in(household, 3000, by=treasurer)
    earlier = make_called_in_buy(coop, asks={household: 350})
    assert pledged_cents(buy) == {household.pk: 2400}
    assert cover_of(buy).covered_cents_by_household[household.pk] == 600
    entry = pay_in(household, 1, by=treasurer)
    Charge.objects.create(buy=earlier, what=Charge.What.PRODUCE, title="Corn", cents=1, entry=entry)
    assert pledged_cents(buy) == {}


@pytest.mark.sqlite  # as many queries on any database
def test_cover_takes_the_same_queries_for_20_asks_as_for_10(coop):
    buy = make_buy(coop)
    make_called_in_buy(coop)
    taken = []
    for rows in (10, 10):
        for _ in range(rows):
            make_ask(the_line(buy), make_household(coop), 350)
        read = Buy.objects.select_related("coop").get(pk=buy.pk)
        with CaptureQueriesContext(connection) as queries:
            cover = cover_of(read)
        taken.append(len(queries))
    assert len(cover.estimated_cents_by_household) == 20
    assert taken[0] == taken[1]


def test_the_season_so_far_decides_a_shortage(coop, household, other_household):
    # The other household got half of what it asked in July, so it is filled first.
    july = NOW - timedelta(days=30)
    earlier = make_collected_buy(
        coop,
        asks={household: 350, other_household: 350},
        asks_close_at=july - timedelta(days=1),
        pickup_from=july,
        pickup_to=july + timedelta(hours=1),
    )
    make_division(the_line(earlier), {household: 350, other_household: 175})
    buy = make_buy(coop, shortage_rule="season")
    for each in (household, other_household):
        make_ask(the_line(buy), each, 350)
    shares = estimate(buy, {the_supply(buy).pk: 1}).lines[0].shares
    assert shares[other_household.pk] > shares[household.pk]
