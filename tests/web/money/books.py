"""Books for the tests of money: short ways to the accounts, and a buy that is charged."""

from typing import Any

from coop.buying.actions.charges import charge_produce
from coop.buying.models import Buy, Charge, Division, Line, Spare, SpareClaim
from coop.money.actions.accounts import open_household_account, open_till
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Account, Entry
from coop.money.queries.balances import balance_of, balances_in
from coop.people.models import Coop, Household, Member
from tests.web.buy_factories import make_divided_buy, make_tally, the_line
from tests.web.factories import make_household, make_member


def account(owner: Household | Coop) -> Account:
    """The account of a household, or the till of a co-op."""
    return open_till(owner) if isinstance(owner, Coop) else open_household_account(owner)


def balance(owner: Household | Coop | Account) -> int:
    """What somebody is owed, in cents; below zero they owe."""
    return balance_of(owner if isinstance(owner, Account) else account(owner))


def households(coop: Coop, *names: str) -> list[Household]:
    """Households with a member each."""
    made = [make_household(coop, name) for name in names]
    for household in made:
        make_member(household)
    return made


def enter(
    giver: Household | Coop, taker: Household | Coop, cents: int, *, by: Member, **fields: Any
) -> Entry:
    """An entry of one movement between two accounts."""
    return post_entry(
        by.coop,
        fields.pop("kind", Entry.Kind.PAID_IN),
        [Flow(account(giver), account(taker), cents)],
        by=by,
        **{"title": "Paid in"} | fields,
    )


def bill(buy: Buy, cents: int) -> None:
    """Make the farm's bill for the first supply of a divided buy so many cents."""
    tally = the_line(buy).supplies.earliest("id").tally
    tally.bill_cents = cents
    tally.save(update_fields=["bill_cents"])


def divided(
    coop: Coop, shares: dict[Household, int], cents: int, *, surplus: int = 0, **fields: Any
) -> Buy:
    """A divided buy with this bill; what was weighed is what was shared and what is left over."""
    left_over = fields.pop("left_over", surplus)
    gross = sum(shares.values()) + left_over
    buy = make_divided_buy(coop, shares=shares, left_over=left_over, gross=gross, **fields)
    Division.objects.filter(line__buy=buy).update(surplus=surplus)
    bill(buy, cents)
    return buy


def charged(
    coop: Coop, shares: dict[Household, int], cents: int, *, by: Member, **fields: Any
) -> Buy:
    """The same with its produce charged."""
    buy = divided(coop, shares, cents, **fields)
    charge_produce(buy, by=by)
    return buy


def claim(spare: Spare, household: Household, amount: int, *, by: Member) -> SpareClaim:
    """A claim as a row, not charged."""
    return SpareClaim.objects.create(spare=spare, household=household, amount=amount, by=by)


def spare_of(buy: Buy) -> Spare:
    """What the division of the first line left over."""
    return Spare.objects.get(division__line__buy=buy, share__isnull=True)


def release(buy: Buy, household: Household) -> Spare:
    """Put a household's share on the spare table."""
    share = Division.objects.get(line=the_line(buy)).shares.get(household=household)
    share.released_at = buy.pickup_to
    share.save(update_fields=["released_at"])
    return Spare.objects.create(division=share.division, share=share, amount=share.amount)


def sum_of_balances(coop: Coop) -> int:
    """What all balances of a co-op add up to."""
    return sum(each.cents for each in balances_in(coop))


def charge_of(buy: Buy, what: str = Charge.What.PRODUCE) -> Charge:
    """The standing charge of a kind."""
    return buy.charges.get(what=what, reversed_at__isnull=True)


def farm_account(buy: Buy) -> Account:
    """The account of the farm of the first supply."""
    return the_line(buy).supplies.earliest("id").farm.account


__all__ = [
    "Line",
    "account",
    "balance",
    "bill",
    "charge_of",
    "charged",
    "claim",
    "divided",
    "enter",
    "farm_account",
    "households",
    "make_tally",
    "release",
    "spare_of",
    "sum_of_balances",
]
