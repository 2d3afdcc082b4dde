"""Reversing an entry together with what hangs on it in a buy."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from coop.buying.actions.squared import reopen
from coop.buying.errors import Refused
from coop.buying.models import Buy, BuyPayment, Charge
from coop.buying.notices.buys import renew_buy
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.line_costs import PRODUCE_KINDS
from coop.core.figures import join_words
from coop.money.actions import entries
from coop.money.models import Entry
from coop.people.changes import record_change
from coop.people.models import Member


def reverse(entry: Entry, *, why: str, by: Member) -> Entry:
    """Reverse any entry. A charge stands no longer then, and a squared buy is open again.

    What was reckoned from a charge of a line (a claim, a credit) is reversed before it. Raises
    NotAllowed, Refused, AlreadyReversed; of two at once one wins.
    """
    with transaction.atomic():
        buy = _lock_buy_of(entry, by)
        charge = Charge.objects.select_related("line").filter(entry=entry).first()
        if charge:
            _refuse_later(charge)
        reversal = entries.reverse_entry(entry, why=why, by=by)
        if charge:
            Charge.objects.filter(pk=charge.pk).update(reversed_at=timezone.now())
        if buy:
            record_change(
                buy,
                f"Reversed: {entry.title}. {why.strip()}",
                coop=buy.coop,
                by=by,
                before={"entry": entry.pk},
                after={"reversal": reversal.pk},
            )
            if charge or entry.kind == Entry.Kind.FARM_PAID:
                reopen(buy, f"{entry.title} was reversed", by=by)
            renew_buy(buy.pk)
        return reversal


def _lock_buy_of(entry: Entry, by: Member) -> Buy | None:
    about = Charge.objects.filter(entry=entry), BuyPayment.objects.filter(entry=entry)
    buys = [pk for rows in about for pk in rows.values_list("buy_id", flat=True)]
    return lock_buy(by, buys[0]) if buys else None


def _refuse_later(charge: Charge) -> None:
    """Each charge of a line was reckoned from those before it: the last goes first."""
    if charge.what not in PRODUCE_KINDS or charge.reversed_at:
        return
    later = Charge.objects.filter(
        line=charge.line_id, what__in=PRODUCE_KINDS, reversed_at__isnull=True, pk__gt=charge.pk
    ).order_by("-pk")
    if later:
        titles = join_words(f"“{each.title}”" for each in later)
        raise Refused(f"Something was reckoned from this entry later. Reverse first: {titles}.")
