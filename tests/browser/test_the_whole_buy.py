"""One buy from the first ask to the last cent, as ten people live it, each at a page of their own.

Every number on the way is held against sums by hand: see `corn` and `by_hand`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine

from coop.buying.models import Buy as BuyRow
from tests.browser import by_hand, corn, money_pages, pages
from tests.browser.conftest import DESK, PHONE
from tests.browser.said import MINUS, cents, lb, pounds, usd
from tests.web import buy_factories, factories

PASSWORD = "nine-ears-to-a-pot"
RULE = "season"  # the one that the buy states
LABELS = {
    "season": "Even over the season", "even": "Even", "proportional": "By size of ask",
    "even_loss": "Even shortfall", "concede": "Halves first",
}  # fmt: skip
NOTHING = "\N{EN DASH}"


@dataclass
class Story:
    """Who takes part, each with a page, and the books as they must stand."""

    coop: Any
    at: dict[str, Any]
    asks_close: datetime
    buy: str = ""
    books: by_hand.Books = field(default_factory=by_hand.Books)

    @property
    def slug(self) -> str:
        return self.coop.slug

    @property
    def coordinator(self) -> Any:
        return self.at[corn.COORDINATOR]

    @property
    def treasurer(self) -> Any:
        return self.at[corn.TREASURER]

    @property
    def pickup(self) -> datetime:
        return self.asks_close + timedelta(days=1)


# ---- Who is there ---------------------------------------------------------------------------
@pytest.fixture
def story(live_server, new_page) -> Iterator[Story]:
    """Nine households with a season behind them, each signed in at a page of its own."""
    coop = factories.make_coop("Cottonwood Larder", trip_cents_per_mile=corn.CENTS_A_MILE)
    today = datetime.now(ZoneInfo(coop.time_zone)).replace(hour=20, minute=0, second=0)
    people = {name: _member(coop, name) for name in corn.HOUSEHOLDS}
    story = Story(coop, {}, today.replace(microsecond=0) + timedelta(days=2))
    _play_the_season_so_far(story, people)
    for name, member in people.items():
        width = DESK if name in {corn.COORDINATOR, corn.TREASURER} else PHONE
        story.at[name] = new_page(width=width)
        pages.SignIn(story.at[name]).by_password(member.user.email, PASSWORD)
    return story


def _member(coop, name):
    roles = {corn.COORDINATOR: ["coordinator"], corn.TREASURER: ["treasurer"]}.get(name, [])
    user = factories.make_user(f"Kim {name}", password=PASSWORD)
    return factories.make_member(factories.make_household(coop, name), roles=roles, user=user)


def _play_the_season_so_far(story, people):
    """A buy of beans, divided, squared and over: who is how far behind."""
    coordinator, day = people[corn.COORDINATOR], story.pickup - timedelta(hours=10)
    buy = buy_factories.make_buy(
        story.coop, "Green beans", coordinator=coordinator, asks_close_at=day - timedelta(days=1),
        pickup_from=day, pickup_to=day + timedelta(hours=1), stage=BuyRow.Stage.SQUARED,
    )  # fmt: skip
    line = buy_factories.the_line(buy)
    for name, (_, asked) in corn.PAST.items():
        buy_factories.make_ask(line, people[name].household, asked)
    shares = {people[name].household: got for name, (got, _) in corn.PAST.items()}
    buy_factories.make_division(line, shares)


# ---- Up to the call-in ----------------------------------------------------------------------
def the_coordinator_lists_farms_and_posts_a_buy(story):
    farms, buy = pages.Farms(story.coordinator), pages.NewBuy(story.coordinator)
    for line, farm in ((corn.CORN, corn.NEAR), (corn.PEACHES, corn.FAR)):
        farms.put_on_the_list(story.slug, farm, corn.MILES[line])
        for container, offer in corn.OFFERS[line].items():
            prices = {count: f"{each / 100:.2f}" for count, each in offer.prices.items()}
            farms.add_offer(line, container, pounds(offer.size), prices)
    times = (story.asks_close, story.pickup, story.pickup + timedelta(hours=2))
    story.buy = buy.post(
        story.slug, "Corn and peaches", times=times, fronted_by=corn.FRONTS, at_most="400",
        no_show=f"{corn.NO_SHOW_CENTS / 100:.2f}",
    )  # fmt: skip
    for line, farm in ((corn.CORN, corn.NEAR), (corn.PEACHES, corn.FAR)):
        offers = [
            f"{farm}: {container} of {lb(offer.size)}"
            for container, offer in corn.OFFERS[line].items()
        ]
        buy.add_line(story.buy, *offers)


def nine_households_ask(story):
    for line, wishes in corn.WISHES.items():
        for name, wish in wishes.items():
            pages.Ask(story.at[name]).place(story.buy, line, pounds(wish.wanted), **_terms(wish))


def _terms(wish):
    terms = {}
    if wish.step > corn.STEP:
        terms["whole"] = f"bushel of {lb(wish.step)}"
    if wish.or_none:
        terms["or_none"] = "yes"
    elif wish.at_least:
        terms["at_least"] = pounds(wish.at_least)
    if wish.at_most:
        terms["at_most"] = pounds(wish.at_most)
    return terms


def everybody_sees_how_it_stands(story):
    page = pages.Standing(story.at["Garza"])
    page.open(story.buy)
    expected = _estimate(corn.best(corn.CORN))
    found = page.households()
    for name in corn.HOUSEHOLDS:
        gets, pays, _ = found[name]
        assert pays == usd(expected.cents[name]), name
        for line in corn.WISHES:
            if name in corn.WISHES[line]:
                assert f"{lb(expected.shares[line][name])} {line}" in gets
    assert found["Together"][1] == usd(expected.total)


def _estimate(corn_plan, peach_plan=None):
    peaches = peach_plan or corn.best(corn.PEACHES)
    return corn.estimate(corn_plan.amount, corn_plan.cents, peaches.amount, peaches.cents)


def the_lot_plans_are_the_cheapest(story):
    pages.Buy(story.coordinator).open(story.buy)
    pages.Buy(story.coordinator).close_asks()
    lots = pages.Lots(story.coordinator)
    lots.open(story.buy)
    for line, other in ((corn.CORN, corn.PEACHES), (corn.PEACHES, corn.CORN)):
        plans = list(corn.plans(line).values())
        shown = lots.plans(line)
        start = [lb(plan.amount) for plan in plans].index(next(iter(shown.values()))[0])
        rest = corn.with_trip(other, corn.best(other))
        for words, (brings, against, costs, _), plan, above in zip(
            shown, shown.values(), plans[start:], [None, *plans[start:]], strict=False
        ):
            assert words.startswith(corn.words(line, plan))
            assert (brings, against) == (lb(plan.amount), _against(line, plan))
            assert costs == usd(corn.with_trip(line, plan) + rest) + _saved(plan, above)
        assert lots.recommended(line).startswith(corn.words(line, corn.best(line)))


def _saved(plan, above):
    """More can cost less: ten bushels, by the price break, than nine and a half."""
    saved = above.cents - plan.cents if above else 0
    return f" {usd(saved)} less than the row above" if saved > 0 else ""


def _against(line, plan):
    short, over = corn.wanted(line) - plan.amount, plan.amount - corn.bears(line)
    if short > 0:
        return f"{lb(short)} short"
    return f"{lb(over)} nobody asked for" if over > 0 else "all covered"


def one_bushel_more_or_less_does_what_is_said(story):
    best, bushel = corn.best(corn.CORN), corn.OFFERS[corn.CORN]["bushel"]
    ways = [
        _estimate(by_hand.Plan((count,), count * bushel.size, bushel.cost(count)))
        for count in (best.counts[0] - 1, best.counts[0], best.counts[0] + 1)
    ]
    shown = pages.Lots(story.coordinator).effects(corn.CORN)
    for name in corn.HOUSEHOLDS:
        cells = next(cells for who, cells in shown.items() if who.startswith(name))
        for way, cell in zip(ways, (cells[0], *cells[1:3]), strict=True):
            said = f"{lb(way.shares[corn.CORN][name])} {usd(way.cents[name])}"
            assert said == cell, name


def it_is_called_in(story):
    pages.Lots(story.coordinator).go_on()
    pages.CallIn(story.coordinator).done("Ann at the farm stand")
    page = pages.Buy(story.coordinator)
    page.open(story.buy)
    assert page.stage == "Called in"
    sheet = pages.On(story.coordinator)
    sheet.go(f"{story.buy}call-in/sheet/")
    for line in corn.WISHES:
        plan = corn.best(line)
        assert sheet.says(corn.words(line, plan).split(",")[0])
        assert sheet.says(usd(plan.cents))


# ---- At the barn ----------------------------------------------------------------------------
def it_comes_short(story):
    tally = pages.Tally(story.coordinator)
    for line in corn.WISHES:
        tally.count(story.buy, line, _as_typed(line))
        assert tally.says(f"Delivered {lb(corn.delivered(line))}")
        assert tally.says(f"To divide {lb(corn.usable(line))}")
        assert tally.says(f"Called in {lb(corn.best(line).amount)}")
    tally.finish()


def _as_typed(line):
    """As the coordinator types it: the corn's bill by the bushel, the peaches' for all."""
    each = line == corn.CORN
    bill = corn.BILL[line] // corn.came(line) if each else corn.BILL[line]
    typed = {
        "containers": str(corn.came(line)),
        "tare": pounds(corn.TARE[line]),
        "scale": [(str(count), pounds(gross)) for count, gross in corn.SCALE[line]],
        "bill": f"{bill / 100:.2f}",
        "bill_is": "each" if each else "all",
    }
    return typed | ({"culls": pounds(corn.CULLS[line])} if corn.CULLS[line] else {})


def every_rule_gives_what_it_should(story):
    divide = pages.Divide(story.coordinator)
    divide.open(story.buy, corn.CORN)
    shown = divide.table()
    given = [corn.shared(corn.CORN, corn.usable(corn.CORN), rule) for rule in corn.RULES]
    for name, wish in corn.WISHES[corn.CORN].items():
        _, *cells = next(cells for who, cells in shown.items() if who.startswith(name))
        assert cells == [_share(wish.wanted, shares[name]) for shares in given], name
    assert shown["Together"][1:] == [lb(sum(shares.values())) for shares in given]


def _share(wanted, share):
    return pounds(share) + (f" {MINUS}{pounds(wanted - share)}" if share < wanted else "")


def one_rule_is_published(story):
    divide = pages.Divide(story.coordinator)
    divide.publish(RULE)
    assert divide.says(f"Shared by “{LABELS[RULE]}”")
    divide.open(story.buy, corn.PEACHES)
    divide.publish()
    reader = pages.Divide(story.at["Dufresne"])
    for line, shares in corn.got(RULE).items():
        reader.open(story.buy, line)
        shown = reader.table()
        for name, share in shares.items():
            assert shown[name][1].split(f" {MINUS}")[0] == lb(share)


# ---- The costs ------------------------------------------------------------------------------
def the_produce_is_charged(story):
    charge = money_pages.ChargeProduce(story.coordinator)
    charge.open(story.buy)
    for line, farm in ((corn.CORN, corn.NEAR), (corn.PEACHES, corn.FAR)):
        parts = corn.produce_parts(line, RULE)
        shown = charge.shares(line)
        story.books.move(farm, "buy", corn.BILL[line])
        for name, part in parts.items():
            assert shown[name] == [lb(corn.got(RULE)[line][name]), usd(part)]
            story.books.move("buy", name, part)
        assert shown["Together"][-1] == usd(corn.BILL[line])
    charge.charge(usd(sum(corn.BILL.values())))


def fuel_is_charged_by_the_trip(story):
    cost = money_pages.AddCost(story.coordinator)
    dollars = f"{corn.FUEL / 100:.2f}"
    shown = cost.look(story.buy, "fuel to both farms", dollars, paid_by=corn.DRIVES)
    parts = corn.fuel_parts(RULE)
    assert shown == {name: usd(part) for name, part in parts.items()} | {"Together": usd(corn.FUEL)}
    cost.charge()
    story.books.move(corn.DRIVES, "buy", corn.FUEL)
    for name, part in parts.items():
        story.books.move("buy", name, part)


def whoever_fronts_it_pays_the_farms(story):
    costs = money_pages.Costs(story.coordinator)
    for line, farm in ((corn.CORN, corn.NEAR), (corn.PEACHES, corn.FAR)):
        costs.pay_farm(story.buy, farm)
        story.books.move(corn.FRONTS, farm, corn.BILL[line])
        assert story.books.of(farm) == 0


# ---- The pickup -----------------------------------------------------------------------------
def they_come_for_it(story):
    pickup = pages.Pickup(story.coordinator)
    pickup.open(story.buy)
    for name in corn.HOUSEHOLDS:
        text, owes = pickup.text(name), -story.books.of(name)
        assert all(
            f"{lb(shares[name])} {line}" in text
            for line, shares in corn.got(RULE).items()
            if name in shares
        )
        assert (f"Owes {usd(owes)}" if owes > 0 else "Owes nothing") in text
        if name == corn.PAYS_CASH:
            pickup.took_cash(name, usd(owes))
            story.books.move(name, "till", owes)
        if name != corn.STAYS_AWAY:
            pickup.fetched(name)


def one_share_goes_to_the_spare_table_and_is_claimed(story):
    pickup = pages.Pickup(story.coordinator)
    pickup.open(story.buy)
    pickup.release()
    claimer = pages.SpareTable(story.at[corn.CLAIMS])
    lying = corn.got(RULE)[corn.CORN][corn.STAYS_AWAY]
    claimer.claim(story.buy, corn.CORN, pounds(corn.CLAIMED), of=lb(lying))
    part = corn.claim_part(RULE)
    story.books.move(corn.STAYS_AWAY, "buy", part)
    story.books.move("buy", corn.CLAIMS, part)
    pages.Pickup(story.coordinator).open(story.buy)
    pages.Pickup(story.coordinator).fetched(corn.CLAIMS)


def not_coming_costs_what_the_buy_stated(story):
    money_pages.NoShow(story.coordinator).charge(story.buy, corn.STAYS_AWAY)
    story.books.move("buy", corn.STAYS_AWAY, corn.NO_SHOW_CENTS)
    others = {name: 1 for name in corn.HOUSEHOLDS if name != corn.STAYS_AWAY}
    assert not by_hand.has_tie(corn.NO_SHOW_CENTS, others)
    for name, part in by_hand.to_the_cent(corn.NO_SHOW_CENTS, others).items():
        story.books.move(name, "buy", part)


def the_page_of_costs_adds_up(story):
    costs = money_pages.Costs(story.at["Garza"])
    costs.open(story.buy)
    shown, fuel = costs.households(), corn.fuel_parts(RULE)
    for name in corn.HOUSEHOLDS:
        produce = _produce_in_the_end(name)
        other = corn.NO_SHOW_CENTS // 8
        fee = corn.NO_SHOW_CENTS if name == corn.STAYS_AWAY else -other
        _, *money, paid = shown[name]
        assert money == [usd(produce), usd(fuel[name]), usd(fee), usd(produce + fuel[name] + fee)]
        assert cents(paid) == story.books.of(name) + produce + fuel[name] + fee, name
    assert shown["Together"][1:3] == [usd(sum(corn.BILL.values())), usd(corn.FUEL)]
    assert story.books.of("buy") == 0


def _produce_in_the_end(name):
    """What it paid for its shares, and what went over with the claim."""
    parts = [corn.produce_parts(line, RULE).get(name, 0) for line in corn.WISHES]
    moved = {corn.CLAIMS: corn.claim_part(RULE), corn.STAYS_AWAY: -corn.claim_part(RULE)}
    return sum(parts) + moved.get(name, 0)


# ---- To the last cent -----------------------------------------------------------------------
def every_balance_is_as_by_hand(story):
    money = money_pages.Money(story.treasurer)
    money.open(story.slug)
    shown = money.balances()
    for name in corn.HOUSEHOLDS:
        balance = story.books.of(name)
        owes, owed = usd(-balance) if balance < 0 else NOTHING, usd(balance)
        assert shown[name] == (owes, owed if balance > 0 else NOTHING), name
    assert usd(-story.books.of("till")) in money.till()
    assert sum(story.books.balances.values()) == 0


def each_statement_ends_at_its_balance(story):
    for name in corn.HOUSEHOLDS:
        statement = money_pages.Statement(story.at[name])
        statement.open_own(story.slug)
        lines = [
            [cents(cell) if "$" in cell else 0 for cell in row[1:]] for row in statement.lines()
        ]
        assert lines[-1][-1] == story.books.of(name)
        running = 0
        for got, gave, balance in lines[:-1]:
            running += gave - got
            assert balance == running, name


def the_fewest_payments_square_it(story):
    page = money_pages.Round(story.treasurer)
    payments = [_read(*said) for said in page.preview(story.slug, PASSWORD)]
    open_balances = [story.books.of(name) for name in (*corn.HOUSEHOLDS, "till")]
    assert len(payments) == by_hand.fewest_payments(open_balances)
    round_ = page.square_up()
    for payer, payee, amount in payments:
        money_pages.Round(_speaks_for(story, payer)).mark_paid(round_, payer, payee)
        money_pages.Round(_speaks_for(story, payee)).confirm(round_, payer, payee)
        story.books.move(_account(payer), _account(payee), amount)
    assert set(story.books.balances.values()) == {0}


def _read(words, amount):
    payer, payee = words.split(" pays ")
    return payer, payee, cents(amount)


def _account(words):
    return "till" if words.lower() == "the till" else words


def _speaks_for(story, account):
    return story.at.get(account, story.treasurer)


def everybody_is_square(story):
    for name in corn.HOUSEHOLDS:
        money = money_pages.Money(story.at[name])
        money.open(story.slug)
        assert "You are square" in money.section("mine")
        assert usd(0) in money.section("mine")
    every_balance_is_as_by_hand(story)
    page = pages.Buy(story.at["Garza"])
    page.open(story.buy)
    assert page.stage == "Squared up"


# ---- The whole of it ------------------------------------------------------------------------
def test_from_the_first_ask_to_the_last_cent(story):
    the_coordinator_lists_farms_and_posts_a_buy(story)
    nine_households_ask(story)
    everybody_sees_how_it_stands(story)
    the_lot_plans_are_the_cheapest(story)
    one_bushel_more_or_less_does_what_is_said(story)
    it_is_called_in(story)
    it_comes_short(story)
    every_rule_gives_what_it_should(story)
    one_rule_is_published(story)
    the_produce_is_charged(story)
    fuel_is_charged_by_the_trip(story)
    whoever_fronts_it_pays_the_farms(story)
    they_come_for_it(story)
    with time_machine.travel(story.pickup + timedelta(hours=4)):
        one_share_goes_to_the_spare_table_and_is_claimed(story)
        not_coming_costs_what_the_buy_stated(story)
        the_page_of_costs_adds_up(story)
        every_balance_is_as_by_hand(story)
        each_statement_ends_at_its_balance(story)
        the_fewest_payments_square_it(story)
        everybody_is_square(story)
