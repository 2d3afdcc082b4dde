"""Lots: numbered, written down, counted out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from coop.core.preserving.as_run import Filled
from coop.jars.kinds import Mouth
from coop.kitchen.errors import Refused
from coop.kitchen.models import Load, Lot, Use, Way
from coop.kitchen.notices import loads as notices
from coop.kitchen.queries.lots import code_of_lot, jars_said, lock_lot, product_said, shelf_of
from coop.kitchen.queries.plans import farm_of_share
from coop.kitchen.rights import require_act_for, require_keep_lot
from coop.people.changes import record_change
from coop.people.locks import lock_people
from coop.people.models import Household, Member

#: The first lot of a co-op, so that a code is never taken for a count of jars.
FIRST_NUMBER = 101
#: No stove holds so many jars at once.
MOST_JARS = 2000


@dataclass(frozen=True)
class JarsIn:
    """Jars that one household puts into a load: how many of what, and out of which use."""

    household: Household
    filled: Filled
    count: int
    mouth: str = Mouth.REGULAR
    use: Use | None = None
    note: str = ""


@dataclass(frozen=True)
class Kept:
    """What one household froze or dried: `jar` is its freezer container, empty when dried."""

    household: Household
    way: str
    produce: str
    form: str
    count: int
    made_on: date
    jar: str = ""
    use: Use | None = None
    note: str = ""


def put_lots(load: Load, jars: Sequence[JarsIn], *, by: Member) -> list[Lot]:
    """Number and save the lots of a load, inside the transaction that holds the co-op's lock."""
    lots = []
    for each in jars:
        lot = _lot_of(each.household, each.count, use=each.use, by=by)
        lot.load, lot.made_on, lot.way = load, load.day, Way.CAN
        lot.produce, lot.product = each.filled.produce, each.filled.product
        lot.pack, lot.jar, lot.option = each.filled.pack, each.filled.jar, each.filled.option
        lot.mouth, lot.note = each.mouth, each.note
        lots.append(_number(lot))
    return lots


def new_lot(kept: Kept, *, by: Member) -> Lot:
    """Write down what was frozen or dried. It stands on the shelf at once."""
    require_act_for(by, kept.household)
    if kept.made_on > timezone.localdate(timezone=ZoneInfo(by.coop.time_zone)):
        raise Refused("That day is still to come.", field="made_on")
    if kept.count <= 0:
        raise Refused("Say how many there are.", field="count")
    with transaction.atomic():
        lock_people(by.coop_id)
        lot = _lot_of(kept.household, kept.count, use=kept.use, by=by)
        lot.way, lot.produce, lot.product = kept.way, kept.produce, kept.form
        lot.jar = kept.jar if kept.way == Way.FREEZE else ""
        lot.made_on, lot.note = kept.made_on, kept.note
        return _number(lot)


def count_out(lot_id: int, count: int, why: str = "", *, by: Member) -> Lot:
    """Count the jars of a lot that came out. A difference from what went in says why."""
    with transaction.atomic():
        lot = lock_lot(by, lot_id)
        require_keep_lot(by, lot)
        if lot.way != Way.CAN:
            raise Refused("Only jars out of a canner are counted out.")
        _check_count_out(lot, count, why)
        before = {"counted_out": lot.counted_out, "why": lot.difference_why}
        lot.counted_out = count
        lot.difference_why = "" if count == lot.counted_in else why.strip()
        lot.save(update_fields=["counted_out", "difference_why"])
        after = {"counted_out": lot.counted_out, "why": lot.difference_why}
        reason = f": {lot.difference_why}" if lot.difference_why else ""
        sentence = f"{jars_said(lot, count)} counted out of {lot.counted_in}{reason}"
        record_change(lot, sentence, coop=lot.coop, by=by, before=before, after=after)
        notices.renew_around(lot.coop, [lot.pk])
        return lot


def _check_count_out(lot: Lot, count: int, why: str) -> None:
    shelf = shelf_of(lot)
    if not 0 <= count <= MOST_JARS:
        raise Refused(f"Count from 0 to {MOST_JARS}.", field="counted_out")
    if count != lot.counted_in and not why.strip():
        raise Refused(
            f"{lot.counted_in} went in and {count} came out. Say why: one broke, one is with "
            "another household's jars, a miscount before the run.",
            field="why",
        )
    if shelf.sealed is not None and count < shelf.sealed + shelf.fated:
        told = f", and {shelf.fated} that did not have their end" if shelf.fated else ""
        raise Refused(
            f"{shelf.sealed} of them are known to have sealed{told}: fewer cannot have come out. "
            "Mend the seals first.",
            field="counted_out",
        )


def _lot_of(household: Household, count: int, *, use: Use | None, by: Member) -> Lot:
    """A lot that is not numbered yet, with where its produce came from as far as a plan knows."""
    lot = Lot(coop=household.coop, household=household, counted_in=count, by=by)
    if use is not None:
        plan = use.plan
        lot.use, lot.share, lot.farm = use, plan.share, plan.farm
        if lot.farm is None and plan.share is not None:
            lot.farm = farm_of_share(plan.share)
    return lot


def _number(lot: Lot) -> Lot:
    """Give it the next number of the co-op, unless it stands there already."""
    _refuse_twice(lot)
    last = Lot.objects.filter(coop=lot.coop).aggregate(last=Max("number"))["last"]
    lot.number = max(last or 0, FIRST_NUMBER - 1) + 1
    lot.save()
    sentence = f"{lot.household.name}: {jars_said(lot, lot.counted_in)} of {product_said(lot)}"
    record_change(lot, sentence, coop=lot.coop, by=lot.by)
    return lot


def _refuse_twice(lot: Lot) -> None:
    """A form that is sent twice makes one lot."""
    same = ("coop", "household", "way", "load", "use", "produce", "product", "pack", "option")
    more = ("jar", "mouth", "made_on", "note")
    found = Lot.objects.filter(**{name: getattr(lot, name) for name in same + more}).first()
    if found is not None:
        raise Refused(
            f"{lot.household.name} has {product_said(lot)} of this kind written down already: "
            f"{jars_said(found, found.counted_in)}, lot {code_of_lot(found)}. Count them together, "
            "or add the others as a lot with a note that sets them apart."
        )
