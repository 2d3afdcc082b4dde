"""The whole buy, up to the call-in."""

from datetime import timedelta

from tests.browser import by_hand, corn, pages
from tests.browser.said import lb, pounds, usd


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
