"""Squaring up: making a round, marking its payments, confirming them."""

from __future__ import annotations

from collections.abc import Collection

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from coop.money import rights
from coop.money.actions.entries import Flow, post_entry
from coop.money.errors import BooksNotReady, PaymentSettled, RoundGone
from coop.money.locks import lock_books
from coop.money.models import Entry, Payment, SquareUp
from coop.money.notices.rounds import renew_round
from coop.money.queries.rounds import halfway, preview_round
from coop.people.changes import record_change
from coop.people.models import Coop, Member
from coop.people.rights import require


def square_up(coop: Coop, *, by: Member, keep: Collection[int] = ()) -> SquareUp:
    """Make a round of the fewest payments; an older one that is open is withdrawn.

    `keep` are the accounts whose balance stays in the till. A round that needs no payment is
    finished at once. Raises NotAllowed; BooksNotReady while a cost is charged to nobody, a farm is
    unpaid, or a payment was marked and not confirmed; RoundGone if two make one at once.
    """
    require(rights.can_keep_books(by), rights.TREASURER_ONLY)
    try:
        with transaction.atomic():
            lock_books(coop.pk)
            preview = preview_round(coop, keep)
            if reasons := [*preview.reasons, *_withdraw_open(coop)]:
                raise BooksNotReady(reasons)
            made = SquareUp.objects.create(
                coop=coop,
                made_by=by,
                proven_fewest=preview.proven_fewest,
                finished_at=None if preview.payments else timezone.now(),
            )
            Payment.objects.bulk_create(
                Payment(square_up=made, payer=each.payer, payee=each.payee, cents=each.cents)
                for each in preview.payments
            )
            renew_round(made.pk)
    except IntegrityError as refusal:
        raise RoundGone("Somebody else squared up at the same moment. See theirs.") from refusal
    return made


def _withdraw_open(coop: Coop) -> list[str]:
    """Withdraw the open round, or say which of its payments are between paid and confirmed."""
    reasons = halfway(coop)
    if not reasons:
        open_rounds = SquareUp.objects.filter(
            coop=coop, finished_at__isnull=True, withdrawn_at__isnull=True
        )
        withdrawn = list(open_rounds.values_list("pk", flat=True))
        open_rounds.update(withdrawn_at=timezone.now())
        for square_up_id in withdrawn:
            renew_round(square_up_id)
    return reasons


def mark_paid(payment: Payment, *, by: Member) -> None:
    """The payer says that the money is on its way. Raises NotAllowed, PaymentSettled."""
    require(rights.can_mark_paid(by, payment), rights.PAYER_ONLY)
    with transaction.atomic():
        lock_books(by.coop_id)
        changed = _open(payment).filter(paid_at__isnull=True)
        if not changed.update(paid_at=timezone.now(), paid_by=by):
            raise PaymentSettled(
                "This payment was marked or confirmed already, or its round is over."
            )
        renew_round(payment.square_up_id)


def take_back_paid(payment: Payment, *, by: Member) -> None:
    """The payer takes the mark back, until it is confirmed. Raises NotAllowed, PaymentSettled."""
    require(rights.can_mark_paid(by, payment), rights.PAYER_ONLY)
    with transaction.atomic():
        lock_books(by.coop_id)
        changed = _open(payment).filter(paid_at__isnull=False)
        if not changed.update(paid_at=None, paid_by=None):
            raise PaymentSettled("This payment is not marked as paid, or it was confirmed already.")
        renew_round(payment.square_up_id)


def _open(payment: Payment) -> models.QuerySet[Payment]:
    return Payment.objects.filter(
        pk=payment.pk, confirmed_at__isnull=True, square_up__withdrawn_at__isnull=True
    )


def confirm_payment(payment: Payment, *, by: Member) -> bool:
    """Whoever gets the money says that it arrived: now it stands in the books.

    Returns whether that finished the round. Of two who confirm at once one wins, and the other gets
    PaymentSettled. Raises also NotAllowed, and RoundGone if the round was withdrawn.
    """
    require(rights.can_confirm(by, payment), rights.PAYEE_ONLY)
    coop = payment.square_up.coop
    with transaction.atomic():
        lock_books(coop.pk)
        _refuse_settled(payment)
        entry = post_entry(
            coop,
            Entry.Kind.SQUARED,
            [Flow(payment.payer, payment.payee, payment.cents)],
            title=f"{payment.payer.name} paid {payment.payee.in_words}",
            by=by,
            reference=f"money/rounds/{payment.square_up_id}/",
        )
        now = timezone.now()
        confirmed = _open(payment).update(confirmed_at=now, confirmed_by=by, entry=entry)
        if not confirmed:
            raise PaymentSettled("Somebody else confirmed this payment a moment ago.")
        record_change(payment, f"{entry.title}: confirmed by {by.name}", coop=coop, by=by)
        finished = _finish(payment.square_up)
        renew_round(payment.square_up_id)
        return finished


def _refuse_settled(payment: Payment) -> None:
    now = Payment.objects.select_related("square_up", "confirmed_by").get(pk=payment.pk)
    if now.square_up.withdrawn_at:
        raise RoundGone("This round was withdrawn; a newer one counts. Look at that one.")
    if now.confirmed_at:
        by = now.confirmed_by.name if now.confirmed_by else "somebody"
        raise PaymentSettled(f"This payment was confirmed already, by {by}. It counts once.")


def _finish(square_up: SquareUp) -> bool:
    """Close the round once nothing in it waits."""
    if square_up.payments.filter(confirmed_at__isnull=True).exists():
        return False
    SquareUp.objects.filter(pk=square_up.pk).update(finished_at=timezone.now())
    return True
