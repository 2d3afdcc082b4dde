"""A long story of buys and money, by acts alone: none of them forgets what there is to tell.

`put_right` looks through every cause anew, so whatever it finds, an act has left undone.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from coop.buying.actions.asks import AskTerms, give_up_ask, place_ask
from coop.buying.actions.books import account_of
from coop.buying.actions.buys import BuyRules, change_buy, plan_of, post_buy, rules_of
from coop.buying.actions.call_in import call_off, step_back
from coop.buying.actions.charges import charge_produce
from coop.buying.actions.closing import close_asks, reopen_asks
from coop.buying.actions.costs import Cost, add_charge
from coop.buying.actions.divide import withdraw_division
from coop.buying.actions.farm_payments import pay_farm
from coop.buying.actions.lines import add_line, remove_line
from coop.buying.actions.pay_in import take_cash
from coop.buying.actions.pickup import (
    tick_claim,
    tick_household,
    tick_share,
    untick_claim,
    untick_share,
)
from coop.buying.actions.releases import release_ask, take_release
from coop.buying.actions.reversals import reverse
from coop.buying.actions.spare import claim_spare
from coop.buying.actions.squared import confirm_payment, square_up
from coop.buying.models import Ask, Buy, Charge, Division, Share, Spare, SpareClaim
from coop.buying.tasks import release_unfetched_shares
from coop.money.actions.rounds import mark_paid, take_back_paid
from coop.money.models import SquareUp
from coop.notices.models import Matter
from coop.notices.sources import put_right
from coop.people.actions.households import Details, edit_household
from coop.people.actions.invitations import join
from coop.people.actions.members import leave
from tests.web.buy_factories import the_supply
from tests.web.buys_told import CLOSE, PICKUP, PICKUP_ENDS, PLAN, ask, divide, order, posted, tally
from tests.web.factories import make_farm, make_invitation, make_offer, make_user
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)
Act = Callable[[], object]


class Story:
    """One buy and those who act in it."""

    def __init__(self, runner, treasurer, one, other):
        self.runner, self.treasurer, self.one, self.other = runner, treasurer, one, other
        self.pk = posted(runner).pk

    @property
    def buy(self) -> Buy:
        return Buy.objects.get(pk=self.pk)

    @property
    def share(self) -> Share:
        return Share.objects.get(household=self.one.household, division__withdrawn_at=None)

    def change(self, **plan: object) -> None:
        change_buy(self.pk, replace(plan_of(self.buy), **plan), rules_of(self.buy), by=self.runner)

    def add_tomatoes(self) -> None:
        offer = make_offer(make_farm(self.runner.coop), "Tomatoes")
        add_line(self.pk, [offer.pk], by=self.runner)

    def ask_for_tomatoes(self) -> None:
        line = self.buy.lines.get(produce="Tomatoes").pk
        terms = AskTerms(wanted=350)
        place_ask(self.pk, line, terms, household=self.other.household, by=self.other)

    def give_up_tomatoes(self) -> None:
        line = self.buy.lines.get(produce="Tomatoes").pk
        give_up_ask(self.pk, line, household=self.other.household, by=self.other)

    def tomatoes_off(self) -> None:
        remove_line(self.pk, self.buy.lines.get(produce="Tomatoes").pk, by=self.runner)

    def pass_on(self) -> None:
        given = release_ask(self.pk, Ask.objects.get(wanted=200).pk, 100, by=self.other)
        take_release(self.pk, given.pk, household=self.one.household, by=self.one)

    def take_in(self) -> None:
        invitation = make_invitation(self.runner, "kit@example.test")
        join(invitation, by=make_user("Kit Moss", email="kit@example.test"))

    def let_go(self) -> None:
        leave(self.runner.coop.members.get(name="Kit Moss").pk, by=self.runner)

    def claim(self) -> None:
        spare = Spare.objects.get(share__household=self.other.household)
        claim_spare(spare, self.runner.household, 50, by=self.runner)

    def pay(self, cents: int) -> None:
        payer = account_of(self.runner.household)
        pay_farm(self.buy, the_supply(self.buy).farm, cents, payer=payer, by=self.runner)

    def share_fuel(self) -> None:
        payer = account_of(self.runner.household)
        cost = Cost(Charge.What.FUEL, "Fuel", 900, Buy.Basis.EQUALLY, payer)
        add_charge(self.buy, cost, by=self.treasurer)

    def each_payment(self, act: Callable[..., object]) -> None:
        for payment in SquareUp.objects.latest("pk").payments.select_related("square_up__coop"):
            act(payment, by=self.treasurer)

    # ---- the acts, in order of time -------------------------------------------------------
    def asking(self) -> Iterator[Act]:
        yield lambda: post_buy(PLAN, BuyRules(), by=self.runner)
        yield lambda: ask(self.buy, self.one, 500)
        yield self.add_tomatoes
        yield lambda: ask(self.buy, self.other, 200)
        yield self.ask_for_tomatoes
        yield self.take_in
        yield self.give_up_tomatoes
        yield self.tomatoes_off
        yield lambda: self.change(pickup_place="The school", title="Corn")
        yield self.let_go
        yield lambda: close_asks(self.pk, by=self.runner)
        yield lambda: reopen_asks(self.pk, CLOSE, by=self.runner)

    def calling_in(self) -> Iterator[Act]:
        yield self.pass_on
        yield lambda: order(self.buy, self.runner)
        yield lambda: step_back(self.pk, "Not yet", by=self.runner)
        yield lambda: call_off(self.pk, "Hail", by=self.runner)
        yield lambda: step_back(self.pk, "It melted", by=self.runner)
        yield lambda: order(self.buy, self.runner)
        yield lambda: self.change(pickup_to=PICKUP_ENDS + 30 * MINUTE)
        yield lambda: tally(self.buy, self.runner, gross=600)

    def sharing(self) -> Iterator[Act]:
        yield lambda: divide(self.buy, self.runner)
        yield lambda: withdraw_division(Division.objects.get(), why="A box", by=self.runner)
        yield lambda: divide(self.buy, self.runner)
        yield lambda: self.pay(4800)
        yield lambda: charge_produce(self.buy, by=self.runner)
        yield lambda: tick_share(self.share, by=self.runner)
        yield lambda: untick_share(self.share, by=self.runner)
        yield lambda: tick_household(self.buy, self.one.household, by=self.runner)

    def after_the_pickup(self) -> Iterator[Act]:
        yield release_unfetched_shares
        yield self.claim
        yield lambda: tick_claim(SpareClaim.objects.get(), by=self.runner)
        yield lambda: untick_claim(SpareClaim.objects.get(), by=self.runner)
        yield lambda: take_cash(self.buy, self.one.household, 500, by=self.treasurer)
        yield lambda: square_up(self.buy.coop, by=self.treasurer)
        yield lambda: square_up(self.buy.coop, by=self.treasurer)
        yield self.share_fuel
        yield lambda: square_up(self.buy.coop, by=self.treasurer)
        yield lambda: self.each_payment(mark_paid)
        yield lambda: self.each_payment(take_back_paid)
        yield lambda: edit_household(self.one.household_id, Details("Castle"), by=self.one)
        yield lambda: self.each_payment(confirm_payment)
        fuel = Charge.objects.filter(what=Charge.What.FUEL)
        yield lambda: reverse(fuel.get().entry, why="A gift", by=self.treasurer)
        yield lambda: square_up(self.buy.coop, by=self.treasurer)


def test_no_act_of_a_buy_or_of_money_forgets_what_there_is_to_tell(
    coordinator, treasurer, member, other_household_member, clock
):
    story = Story(coordinator, treasurer, member, other_household_member)
    parts = [
        (story.asking, CLOSE - timedelta(days=2)),
        (story.calling_in, CLOSE),
        (story.sharing, PICKUP - timedelta(hours=3)),
        (story.after_the_pickup, PICKUP_ENDS + 60 * MINUTE),
    ]
    acts = 0
    for part, begins in parts:
        clock.move_to(begins)
        for act in part():
            clock.shift(MINUTE)
            act()
            assert put_right(coordinator.coop) == {}, (part.__name__, acts)
            post()
            acts += 1
    assert story.buy.stage == Buy.Stage.DIVIDED
    assert acts > 35
    kinds = set(Matter.objects.values_list("kind", flat=True))
    assert len(kinds) == 10
