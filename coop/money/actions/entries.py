"""Writing entries, and putting them right by their reversal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from coop.money.errors import AlreadyReversed
from coop.money.models import Account, Entry, Movement
from coop.people.models import Coop, Member


@dataclass(frozen=True)
class Flow:
    """`cents` of value from the account that gives to the one that receives; 0 is left out."""

    source: Account
    target: Account
    cents: int
    note: str = ""


def post_entry(
    coop: Coop,
    kind: Entry.Kind,
    flows: Iterable[Flow],
    *,
    title: str,
    by: Member,
    reference: str = "",
    note: str = "",
) -> Entry:
    """Write one event and its movements. The database refuses any that cross co-ops."""
    with transaction.atomic():
        entry = Entry.objects.create(
            coop=coop, kind=kind, title=title, note=note, reference=reference, made_by=by
        )
        Movement.objects.bulk_create(
            Movement(
                entry=entry,
                source=flow.source,
                target=flow.target,
                cents=flow.cents,
                note=flow.note,
            )
            for flow in flows
            if flow.cents
        )
        return entry


def reverse_entry(entry: Entry, *, why: str, by: Member) -> Entry:
    """Write the same movements the other way round. Raises AlreadyReversed."""
    if entry.kind == Entry.Kind.REVERSAL:
        raise AlreadyReversed("This is a reversal already. Write a new entry instead.")
    try:
        with transaction.atomic():
            reversal = Entry.objects.create(
                coop_id=entry.coop_id,
                kind=Entry.Kind.REVERSAL,
                title=f"Reversed: {entry.title}"[:200],
                note=why,
                reference=entry.reference,
                made_by=by,
                reverses=entry,
            )
            Movement.objects.bulk_create(
                Movement(
                    entry=reversal,
                    source_id=movement.target_id,
                    target_id=movement.source_id,
                    cents=movement.cents,
                    note=movement.note,
                )
                for movement in entry.movements.all()
            )
            return reversal
    except IntegrityError as refusal:
        if Entry.objects.filter(reverses=entry).exists():
            raise AlreadyReversed("This entry was reversed already.") from refusal
        raise
