"""Whatever is charged, paid, claimed, credited and reversed, in any order, the books balance.

The laws are those of double entry, common practice: what one gives another receives, so balances
add up to zero; a reversal takes back what its entry did; nothing is created by rounding.
"""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coop.buying.actions.charges import carry_unclaimed, charge_claim, charge_produce
from coop.buying.actions.costs import SHARED, Cost, add_charge
from coop.buying.actions.credits import Credit, credit
from coop.buying.actions.farm_payments import bill_cents_of_farm, paid_cents_of_farm, pay_farm
from coop.buying.actions.fees import charge_late_change
from coop.buying.actions.pay_in import take_cash
from coop.buying.actions.reversals import reverse
from coop.buying.actions.squared import confirm_payment, square_up
from coop.buying.models import Buy, Charge, Spare, SpareClaim
from coop.buying.queries.line_costs import line_costs
from coop.buying.queries.spare import remaining_of
from coop.money.actions.checks import check_books
from coop.money.errors import BooksNotReady
from coop.money.models import Entry
from coop.money.queries.balances import balances_in
from coop.people.errors import Refused
from coop.people.models import Coop, Household, Member
from tests.web.buy_factories import the_line, the_supply
from tests.web.factories import make_coop, make_household, make_member
from tests.web.money.books import account, balance, divided, release, spare_of, sum_of_balances

# The sums are the same on any database: PostgreSQL is asked less often, for its own rules.
EXAMPLES = 25 if connection.vendor == "sqlite" else 10
ACTS: dict[str, Callable[..., Any]] = {}
Act = Callable[..., Any]


def act(function: Act) -> Act:
    """One of the things that may happen; it takes the scene, and numbers to choose by."""
    ACTS[function.__name__] = function
    return function


class Scene:
    """A co-op with one buy, divided and not charged, with a surplus and a share not fetched."""

    def __init__(self, shares: list[int], surplus: int, bill_cents: int) -> None:
        self.coop: Coop = make_coop()
        self.households: list[Household] = [make_household(self.coop) for _ in shares]
        self.by: Member = make_member(self.households[0], roles=["coordinator", "treasurer"])
        asked = dict(zip(self.households, shares, strict=True))
        self.buy: Buy = divided(
            self.coop, asked, bill_cents, surplus=surplus, late_change_cents=250
        )
        if shares[-1]:
            release(self.buy, self.households[-1])
        self.farm = the_supply(self.buy).farm

    def some(self, number: int) -> Household:
        return self.households[number % len(self.households)]

    def fresh_buy(self) -> Buy:
        self.buy.refresh_from_db()
        return self.buy


@act
def charges_the_produce(scene: Scene, _who: int, _cents: int) -> None:
    charge_produce(scene.fresh_buy(), by=scene.by)


@act
def shares_a_cost(scene: Scene, who: int, cents: int) -> None:
    basis = list(Buy.Basis)[cents % 3]
    payer = account(scene.some(who))
    cost = Cost(SHARED[who % len(SHARED)], "Fuel", cents, basis, payer)
    add_charge(scene.fresh_buy(), cost, by=scene.by)


@act
def claims(scene: Scene, who: int, cents: int) -> None:
    spares = Spare.objects.filter(division__line__buy=scene.buy).order_by("pk")
    spare = spares[who % len(spares)] if spares else None
    if spare and (left := remaining_of(spare)):
        made = SpareClaim.objects.create(
            spare=spare, household=scene.some(who // 2), amount=1 + cents % left, by=scene.by
        )
        if Charge.objects.filter(line=the_line(scene.buy), what="produce", reversed_at=None):
            charge_claim(made, by=scene.by)


@act
def carries(scene: Scene, _who: int, _cents: int) -> None:
    carry_unclaimed(scene.fresh_buy(), by=scene.by)


@act
def credits_a_box(scene: Scene, _who: int, cents: int) -> None:
    given_back = Credit(the_line(scene.buy), scene.farm, cents, "Rot in the bottom layer")
    credit(scene.fresh_buy(), given_back, by=scene.by)


@act
def fines_a_late_change(scene: Scene, who: int, _cents: int) -> None:
    charge_late_change(scene.fresh_buy(), scene.some(who), by=scene.by)


@act
def pays_the_farm(scene: Scene, who: int, _cents: int) -> None:
    buy = scene.fresh_buy()
    open_cents = bill_cents_of_farm(buy, scene.farm) - paid_cents_of_farm(buy, scene.farm)
    payer = account(scene.coop) if who % 2 else account(scene.some(who))
    pay_farm(buy, scene.farm, open_cents, payer=payer, by=scene.by)


@act
def pays_in(scene: Scene, who: int, cents: int) -> None:
    take_cash(scene.fresh_buy(), scene.some(who), cents, by=scene.by)


@act
def reverses(scene: Scene, who: int, _cents: int) -> None:
    entries = Entry.objects.filter(coop=scene.coop).order_by("pk")
    if entries:
        reverse(entries[who % len(entries)], why="A slip of the pen", by=scene.by)


@act
def squares_up(scene: Scene, who: int, _cents: int) -> None:
    made = square_up(scene.coop, by=scene.by)
    for payment in list(made.payments.all())[: who % 3]:
        confirm_payment(payment, by=scene.by)


STEPS = st.lists(
    st.tuples(st.sampled_from(sorted(ACTS)), st.integers(0, 50), st.integers(1, 5000)),
    max_size=14,
)


def tried(scene: Scene, steps: list[tuple[str, int, int]]) -> None:
    """Let things happen in this order; what the rules refuse changes nothing."""
    for name, who, cents in steps:
        before = Entry.objects.count(), sum_of_balances(scene.coop)
        try:
            with transaction.atomic():
                ACTS[name](scene, who, cents)
        except Refused:
            assert (Entry.objects.count(), sum_of_balances(scene.coop)) == before


@pytest.mark.django_db
@settings(
    max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(
    shares=st.lists(st.integers(0, 700), min_size=2, max_size=5),
    surplus=st.integers(0, 90),
    bill_cents=st.integers(0, 50_000),
    steps=STEPS,
)
def test_books_balance_after_anything(
    shares: list[int], surplus: int, bill_cents: int, steps: list[tuple[str, int, int]]
):
    with transaction.atomic():
        scene = Scene(shares, surplus, bill_cents)
        tried(scene, steps)
        assert sum_of_balances(scene.coop) == 0
        check = check_books(scene.coop)
        assert check.sound, check.finding
        _the_buy_holds_only_the_unclaimed(scene)
        transaction.set_rollback(True)


def _the_buy_holds_only_the_unclaimed(scene: Scene) -> None:
    """The buy's account is at zero but for a surplus nobody claimed, and never gave too much."""
    cost = line_costs(scene.buy).get(the_line(scene.buy).pk)
    rest_cents = cost.cents_of(scene.buy.account) if cost else 0
    assert balance(scene.buy.account) == -rest_cents
    assert rest_cents >= 0
    if cost and not cost.unclaimed:
        assert rest_cents == 0


@pytest.mark.django_db
@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow])
@given(
    shares=st.lists(st.integers(1, 700), min_size=2, max_size=5),
    surplus=st.integers(0, 90),
    bill_cents=st.integers(1, 50_000),
    steps=STEPS,
)
def test_a_buy_can_always_be_brought_to_zero(
    shares: list[int], surplus: int, bill_cents: int, steps: list[tuple[str, int, int]]
):
    with transaction.atomic():
        scene = Scene(shares, surplus, bill_cents)
        tried(scene, steps)
        last = [(name, 1, 1) for name in ("charges_the_produce", "carries", "pays_the_farm")]
        tried(scene, last)
        _square(scene)
        assert {each.account.kind: each.cents for each in balances_in(scene.coop)}
        assert not [
            each.account
            for each in balances_in(scene.coop)
            if each.cents and each.account.kind in {"household", "buy"}
        ]
        assert scene.fresh_buy().stage == Buy.Stage.SQUARED
        transaction.set_rollback(True)


def _square(scene: Scene) -> None:
    """Confirm what an open round still asks, then make another for what is left."""
    for _ in range(2):
        for made in scene.coop.square_ups.filter(finished_at=None, withdrawn_at=None):
            for payment in made.payments.filter(confirmed_at=None):
                confirm_payment(payment, by=scene.by)
        try:
            square_up(scene.coop, by=scene.by)
        except BooksNotReady as refusal:
            pytest.fail(str(refusal))


@pytest.mark.django_db
@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow])
@given(
    shares=st.lists(st.integers(1, 700), min_size=2, max_size=5),
    surplus=st.integers(1, 90),
    bill_cents=st.integers(1, 50_000),
    takes=st.lists(st.tuples(st.integers(0, 9), st.integers(1, 40)), max_size=8),
)
def test_once_all_of_a_surplus_is_claimed_the_buy_is_at_zero_and_the_bill_is_shared_to_the_cent(
    shares: list[int], surplus: int, bill_cents: int, takes: list[tuple[int, int]]
):
    with transaction.atomic():
        scene = Scene(shares, surplus, bill_cents)
        charge_produce(scene.buy, by=scene.by)
        spare = spare_of(scene.buy)
        for who, amount in [*takes, (0, surplus)]:
            if left := remaining_of(spare):
                made = SpareClaim.objects.create(
                    spare=spare,
                    household=scene.some(who),
                    amount=min(amount, left),
                    by=scene.by,
                )
                charge_claim(made, by=scene.by)
        assert balance(scene.buy.account) == 0
        assert sum(balance(each) for each in scene.households) == -bill_cents
        transaction.set_rollback(True)
