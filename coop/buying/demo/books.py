"""The money of the demo's buys: bills paid, costs shared, cash taken, everybody square."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coop.buying.actions.books import account_of
from coop.buying.actions.charges import charge_produce
from coop.buying.actions.costs import Cost, add_charge, basis_of
from coop.buying.actions.farm_payments import bill_cents_of_farm, pay_farm
from coop.buying.actions.pay_in import take_cash as take
from coop.buying.actions.squared import confirm_payment, square_up
from coop.buying.demo.script import cents
from coop.buying.models import Charge, Farm
from coop.money.actions.rounds import mark_paid
from coop.people.models import Member

if TYPE_CHECKING:
    from coop.buying.demo.season import Story


def pay_and_charge(story: Story) -> None:
    """Whoever fronts the buy pays the farms; produce and the other costs are shared."""
    payer = account_of(story.household(story.script["fronted_by"]))
    for farm in Farm.objects.filter(supplies__line__buy=story.buy).distinct().order_by("pk"):
        if bill := bill_cents_of_farm(story.buy, farm):
            pay_farm(story.buy, farm, bill, payer=payer, by=story.leader)
    charge_produce(story.buy, by=story.leader)
    for cost in story.script.get("costs", []):
        what = Charge.What(cost["what"])
        shared = Cost(
            what=what,
            title=cost["title"],
            cents=cost["cents"],
            basis=basis_of(story.buy, what),
            payer=account_of(story.household(cost["paid_by"])),
        )
        add_charge(story.buy, shared, by=story.leader)


def take_cash(story: Story) -> None:
    """Some pay when they fetch their share."""
    for name, amount in story.script.get("cash", []):
        take(story.buy, story.household(name), cents(amount), by=story.leader)


def open_round(story: Story) -> None:
    """The treasurer squares up; the first to pay have paid, and nothing is confirmed yet."""
    made = square_up(story.leader.coop, by=_treasurer(story))
    for payment in made.payments.all()[: story.script["marked_paid"]]:
        mark_paid(payment, by=_treasurer(story))


def square(story: Story) -> None:
    """The treasurer squares up, and every payment is made and confirmed."""
    treasurer = _treasurer(story)
    for payment in square_up(story.leader.coop, by=treasurer).payments.all():
        mark_paid(payment, by=treasurer)
        confirm_payment(payment, by=treasurer)


def _treasurer(story: Story) -> Member:
    return next(member for member in story.members.values() if member.treasurer)
