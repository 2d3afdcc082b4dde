"""Writing entries, and putting them right by their reversal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db import IntegrityError, transaction

from coop.money import hooks, rights
from coop.money.errors import AlreadyEntered, AlreadyReversed, Refused
from coop.money.locks import lock_books
from coop.money.models import Account, Entry, Movement
from coop.money.notices.rounds import renew_open_round
from coop.people.models import Coop, Member
from coop.people.rights import require

LONGEST_TITLE = 200
LONGEST_NOTE = 200


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
    once: UUID | None = None,
) -> Entry:
    """Write one event and its movements, in one transaction.

    `once` is the number of the form that it came from; the same form sent again raises
    AlreadyEntered. Raises Refused where no money moves. The database refuses movements across
    co-ops, amounts below zero, and any later change.
    """
    movements = [flow for flow in flows if flow.cents]
    if not movements:
        raise Refused("There is nothing to enter: it comes to nothing.")
    with transaction.atomic():
        lock_books(coop.pk)
        entry = _write_once(
            Entry(
                coop=coop,
                kind=kind,
                title=title[:LONGEST_TITLE],
                note=note,
                reference=reference,
                made_by=by,
                once=once,
            )
        )
        Movement.objects.bulk_create(
            Movement(
                entry=entry,
                source=flow.source,
                target=flow.target,
                cents=flow.cents,
                note=flow.note[:LONGEST_NOTE],
            )
            for flow in movements
        )
        if kind != Entry.Kind.SQUARED:  # its payment is confirmed after it, and renewed then
            renew_open_round(coop)
        return entry


def _write_once(entry: Entry) -> Entry:
    """Write the entry, or say that its form, or its reversal, was there before it."""
    try:
        with transaction.atomic():
            entry.save(force_insert=True)
    except IntegrityError as refusal:
        if entry.once and Entry.objects.filter(coop_id=entry.coop_id, once=entry.once).exists():
            raise AlreadyEntered(
                "This was entered already, a moment ago; it counts once."
            ) from refusal
        if entry.reverses_id and Entry.objects.filter(reverses_id=entry.reverses_id).exists():
            raise AlreadyReversed(
                "This entry was reversed already. Nothing was changed a second time."
            ) from refusal
        raise
    return entry


def reverse_entry(entry: Entry, *, why: str, by: Member) -> Entry:
    """Write the same movements the other way round, with a reason.

    Raises NotAllowed, Refused without a reason or where something hangs on it (hooks), and
    AlreadyReversed: of two at once one wins. What hangs on an entry of a buy is put right by
    `coop.buying.actions.reversals`.
    """
    require(rights.can_keep_books(by), rights.TREASURER_ONLY)
    if not why.strip():
        raise Refused("Say why, for everybody to read.", field="why")
    if entry.kind == Entry.Kind.REVERSAL:
        raise AlreadyReversed("This is a reversal already. Write a new entry instead.")
    with transaction.atomic():
        lock_books(entry.coop_id)
        if reasons := [said for ask in hooks.reasons_against_reversal for said in ask(entry)]:
            raise Refused(" ".join(reasons))
        reversal = _write_once(
            Entry(
                coop_id=entry.coop_id,
                kind=Entry.Kind.REVERSAL,
                title=f"Reversed: {entry.title}"[:LONGEST_TITLE],
                note=why.strip(),
                reference=entry.reference,
                made_by=by,
                reverses=entry,
            )
        )
        Movement.objects.bulk_create(
            Movement(
                entry=reversal,
                source_id=movement.target_id,
                target_id=movement.source_id,
                cents=movement.cents,
                note=movement.note,
            )
            for movement in entry.movements.order_by("pk")
        )
        renew_open_round(entry.coop)
        return reversal
