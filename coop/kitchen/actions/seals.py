"""Seals: tried 12 to 24 hours after the load, and what became of the jars that did not seal."""

from __future__ import annotations

from collections.abc import Mapping
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from coop.core.figures import counted
from coop.kitchen.errors import Refused, TooEarly
from coop.kitchen.models import Fate, Load, Lot, SealCheck, Way
from coop.kitchen.notices import loads as notices
from coop.kitchen.queries.lots import lock_lot, shelf_of
from coop.kitchen.queries.seals import fates_told, hours, may_reprocess, seal_times
from coop.kitchen.rights import require_keep_lot
from coop.people.changes import record_change
from coop.people.locks import lock_people
from coop.people.models import Member


def try_seals(lot_id: int, sealed: int, *, by: Member) -> Lot:
    """Write down how many jars of a lot sealed, once they have stood for 12 hours."""
    with transaction.atomic():
        lot = lock_lot(by, lot_id)
        require_keep_lot(by, lot)
        load = _load_of(lot)
        _require_stood(load)
        _check_sealed(lot, sealed)
        before = {"sealed": shelf_of(lot).sealed}
        SealCheck.objects.update_or_create(
            lot=lot, defaults={"sealed": sealed, "by": by, "checked_at": timezone.now()}
        )
        sentence = f"{sealed} of {counted(lot.counted_out or 0, 'jar')} sealed"
        after = {"sealed": sealed}
        record_change(lot, sentence, coop=lot.coop, by=by, before=before, after=after)
        notices.renew_around(lot.coop, [lot.pk])
        return lock_lot(by, lot_id)


def tell_fates(lot_id: int, fates: Mapping[str, int], *, note: str = "", by: Member) -> Lot:
    """Say what became of the jars that did not seal: how many of each `Fate.What`, in all.

    It replaces what was told before, so that a slip can be mended. Jars are processed again only
    within 24 hours of the load's end, and never out of a suspect load.
    """
    with transaction.atomic():
        lock_people(by.coop_id)  # what was processed again hangs together: see notices.loads
        lot = lock_lot(by, lot_id)
        require_keep_lot(by, lot)
        known = fates_told(lot)
        before = {what: fate.count for what, fate in known.items()}
        wanted = {what.value: fates.get(what.value, 0) for what in Fate.What}
        _check_fates(lot, wanted, before)
        for what, fate in known.items():
            if wanted[what] != fate.count:
                fate.delete()
        for what, count in wanted.items():
            if count and count != before.get(what, 0):
                new_lot = known[what].new_lot if what in known else None
                Fate.objects.create(
                    lot=lot, what=what, count=count, new_lot=new_lot, note=note, by=by
                )
        hung_on = [fate.new_lot_id for fate in known.values() if fate.new_lot_id]
        notices.renew_around(lot.coop, [lot.pk, *hung_on])
        after = {what: count for what, count in wanted.items() if count}
        if after != before:
            told = [f"{count} {Fate.What(what).label}" for what, count in after.items()]
            sentence = f"Did not seal: {'; '.join(told) or 'nothing told'}"
            record_change(lot, sentence, coop=lot.coop, by=by, before=before, after=after)
        return lock_lot(by, lot_id)


def not_before(load: Load) -> str:
    """The sentence for who comes too early, with the hour in the co-op's zone."""
    at = seal_times(load).from_.astimezone(ZoneInfo(load.coop.time_zone))
    return (
        f"The jars stand undisturbed for {hours('cooling_hours_low')} hours. Try the seals not "
        f"before {at.hour}:{at.minute:02} on {at:%a} {at.day} {at:%b}."
    )


def _load_of(lot: Lot) -> Load:
    if lot.way != Way.CAN or lot.load is None:
        raise Refused("Only jars out of a canner have seals to try.")
    return lot.load


def _require_stood(load: Load) -> None:
    if seal_times(load).is_early(timezone.now()):
        raise TooEarly(not_before(load))


def _check_sealed(lot: Lot, sealed: int) -> None:
    shelf = shelf_of(lot)
    if lot.counted_out is None:
        raise Refused("Count the jars out first.", field="sealed")
    if not 0 <= sealed <= lot.counted_out:
        raise Refused(f"{lot.counted_out} came out: from 0 to that many sealed.", field="sealed")
    if sealed < shelf.taken:
        raise Refused(
            f"{shelf.taken} were taken off the shelf as sealed. Undo that first, on the shelf.",
            field="sealed",
        )
    if lot.counted_out - sealed < shelf.fated:
        raise Refused(
            f"{shelf.fated} are told as not sealed. Mend what became of those first.",
            field="sealed",
        )


def _check_fates(lot: Lot, wanted: Mapping[str, int], before: Mapping[str, int]) -> None:
    shelf = shelf_of(lot)
    if shelf.sealed is None:
        raise Refused("Try the seals first.")
    if not any(wanted.values()) and not any(before.values()):
        raise Refused(
            f"{counted(shelf.unsealed, 'jar')} did not seal: say at least of one what became of it."
        )
    for what, count in wanted.items():
        if count < 0:
            raise Refused("It cannot be less than none.", field=what)
    if sum(wanted.values()) > shelf.unsealed:
        raise Refused(
            f"{counted(shelf.unsealed, 'jar')} did not seal; these are {sum(wanted.values())}."
        )
    again = Fate.What.REPROCESSED.value
    if wanted[again] > before.get(again, 0) and not may_reprocess(lot, timezone.now()):
        raise Refused(why_not_again(lot), field=again)


def why_not_again(lot: Lot) -> str:
    """Why jars of a lot are not processed again."""
    within = hours("reprocess_within_hours")
    if lot.load is not None and lot.load.suspect_at:
        return (
            "Its load is suspect: the food was not processed as tested, so it is not processed "
            "again a day later."
        )
    return (
        f"A jar is processed again only within {within} hours of the load. That time is over: the "
        "fridge, the freezer or the bin is left."
    )
