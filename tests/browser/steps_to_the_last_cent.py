"""The whole buy, until everybody is square."""

from tests.browser import by_hand, corn, money_pages, pages
from tests.browser.said import cents, usd
from tests.browser.story import PASSWORD

NOTHING = "\N{EN DASH}"


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
