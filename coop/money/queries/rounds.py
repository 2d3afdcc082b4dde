"""Rounds of squaring up: what one would be, the one that is open, its payments."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet, Sum
from django.http import Http404

from coop.core.figures import money
from coop.core.transfers import fewest_transfers
from coop.money import hooks
from coop.money.models import Account, Payment, SquareUp
from coop.money.queries.balances import Balance, balances_in
from coop.money.queries.till import till_cash_cents
from coop.people.models import Coop, Member

KEY_WIDTH = 20  # accounts are ordered by number, so that the same books give the same round


@dataclass(frozen=True)
class Proposed:
    """One payment that a round would ask for."""

    payer: Account
    payee: Account
    cents: int


@dataclass(frozen=True)
class Preview:
    """The round that could be made now; `reasons` say why it must wait, if it must."""

    payments: Sequence[Proposed]
    proven_fewest: bool
    reasons: Sequence[str]
    balances: Sequence[Balance]
    kept: frozenset[int]
    till_cents: int = 0

    @property
    def till_short_cents(self) -> int:
        """What the till would have to pay beyond what it holds, once the others have paid in."""
        till = Account.Kind.TILL
        pays = sum(each.cents for each in self.payments if each.payer.kind == till)
        return max(0, pays - self.till_cents) if pays else 0

    @property
    def moved_cents(self) -> int:
        """What changes hands in all."""
        return sum(payment.cents for payment in self.payments)


def preview_round(coop: Coop, keep: Collection[int] = ()) -> Preview:
    """The fewest payments that bring the households to zero, but for the accounts in `keep`.

    The till pays or takes what the others do not settle among themselves: what is kept stays in it,
    and what a farm still owes from a credit is between the farm and the till.
    """
    balances = [each for each in balances_in(coop) if each.cents]
    kept = frozenset(keep)
    settling = {
        each.account.pk: each
        for each in balances
        if each.account.kind == Account.Kind.HOUSEHOLD and each.account.pk not in kept
    }
    till = Account.objects.get(coop=coop, kind=Account.Kind.TILL)
    cents = {pk: each.cents for pk, each in settling.items()}
    cents[till.pk] = -sum(cents.values())
    transfers = fewest_transfers({f"{pk:0{KEY_WIDTH}}": each for pk, each in cents.items()})
    accounts = {pk: each.account for pk, each in settling.items()} | {till.pk: till}
    return Preview(
        payments=[
            Proposed(accounts[int(payer)], accounts[int(payee)], paid)
            for payer, payee, paid in transfers.payments
        ],
        proven_fewest=transfers.proven_fewest,
        reasons=reasons_to_wait(coop, balances),
        balances=[each for each in balances if each.account.kind == Account.Kind.HOUSEHOLD],
        kept=kept,
        till_cents=till_cash_cents(coop),
    )


def reasons_to_wait(coop: Coop, balances: Sequence[Balance]) -> list[str]:
    """Why squaring up must wait: what is charged to nobody, and which farm is unpaid."""
    reasons = []
    for each in balances:
        amount = money(abs(each.cents), coop.currency)
        if each.account.kind == Account.Kind.BUY:
            reasons.append(
                f"{each.account.name}: {amount} of its cost is charged to nobody yet. Charge it, "
                "have the spare table claimed, or let the till carry what nobody claimed."
            )
        if each.account.kind == Account.Kind.FARM and each.cents > 0:
            reasons.append(
                f"{each.account.name} is still owed {amount}. Pay the farm first, from the till or "
                "by a household that fronts it."
            )
    return [*reasons, *(reason for ask in hooks.reasons_to_wait for reason in ask(coop))]


def halfway(coop: Coop) -> list[str]:
    """What of the open round is marked as paid and not confirmed: a new round must wait for it."""
    payments = Payment.objects.filter(
        square_up__coop=coop,
        square_up__finished_at__isnull=True,
        square_up__withdrawn_at__isnull=True,
        paid_at__isnull=False,
        confirmed_at__isnull=True,
    ).select_related("payer", "payee")
    return [
        f"{each.payer.name} marked {money(each.cents, coop.currency)} to {each.payee.in_words} as "
        "paid. Have it confirmed, or taken back, first."
        for each in payments
    ]


def marked_paid_cents(coop: Coop) -> dict[int, int]:
    """By household, what it marked as paid in the open round and nobody confirmed yet."""
    sums = (
        Payment.objects.filter(
            square_up__coop=coop,
            square_up__finished_at__isnull=True,
            square_up__withdrawn_at__isnull=True,
            payer__household__isnull=False,
            paid_at__isnull=False,
            confirmed_at__isnull=True,
        )
        .order_by()
        .values_list("payer__household")
        .annotate(cents=Sum("cents"))
    )
    return dict(sums)


def open_round(coop: Coop) -> SquareUp | None:
    """The round that is being paid, with its payments; there is at most one."""
    return _rounds(coop).filter(finished_at__isnull=True, withdrawn_at__isnull=True).first()


def _rounds(coop: Coop) -> QuerySet[SquareUp]:
    payments = Payment.objects.select_related(
        "payer__household", "payee__household", "paid_by", "confirmed_by"
    )
    return (
        SquareUp.objects.filter(coop=coop)
        .select_related("made_by")
        .prefetch_related(Prefetch("payments", queryset=payments))
    )


def round_for(member: Member, round_id: int) -> SquareUp:
    """A round to read. Absent and another co-op's are the same 404."""
    found = _rounds(member.coop).filter(pk=round_id).first()
    if found is None:
        raise Http404
    return found


def is_behind(square_up: SquareUp) -> bool:
    """Whether money moved since a round was made, so that paying it would leave something open."""
    return bool(accounts_behind(square_up))


def accounts_behind(square_up: SquareUp) -> frozenset[int]:
    """The keys of the households' accounts that a round would not bring to zero any more.

    Of each that the round settles, the balance and what the round still asks of it must add up to
    zero.
    """
    left: defaultdict[int, int] = defaultdict(int)
    for payment in square_up.payments.all():
        left[payment.payer_id] += 0 if payment.confirmed_at else payment.cents
        left[payment.payee_id] -= 0 if payment.confirmed_at else payment.cents
    balances = balances_in(square_up.coop, Account.Kind.HOUSEHOLD)
    return frozenset(
        each.account.pk
        for each in balances
        if each.account.pk in left and each.cents + left[each.account.pk]
    )


def payment_for(member: Member, payment_id: int) -> Payment:
    """A payment of a round to read. Absent and another co-op's are the same 404."""
    payment = (
        Payment.objects.select_related(
            "square_up__coop", "payer__household", "payee__household", "entry"
        )
        .filter(square_up__coop=member.coop, pk=payment_id)
        .first()
    )
    if payment is None:
        raise Http404
    return payment
