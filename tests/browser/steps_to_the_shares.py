"""The whole buy, from the barn to the shares."""

from tests.browser import corn, pages
from tests.browser.said import MINUS, lb, pounds
from tests.browser.story import RULE

LABELS = {
    "season": "Even over the season", "even": "Even", "proportional": "By size of ask",
    "even_loss": "Even shortfall", "concede": "Halves first",
}  # fmt: skip


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
