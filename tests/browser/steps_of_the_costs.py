"""The whole buy, its costs and its pickup."""

from tests.browser import by_hand, corn, money_pages, pages
from tests.browser.said import cents, lb, pounds, usd
from tests.browser.story import RULE


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


def a_pound_costs_more_than_was_promised(story):
    costs = money_pages.Costs(story.at["Garza"])
    costs.open(story.buy)
    for line, (promised, delivered, bill, fit) in costs.produce().items():
        plan = corn.best(line)
        assert promised == _priced(plan.cents, plan.amount)
        assert delivered == _priced(corn.BILL[line], corn.delivered(line))
        assert bill == usd(corn.BILL[line])
        assert fit == _priced(corn.BILL[line], corn.usable(line))


def _priced(bill, amount):
    return f"{lb(amount)} {usd(by_hand.cents_a_pound(bill, amount))} a lb"
