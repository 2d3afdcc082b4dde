"""What is wrong with a thing: found, told to whoever has it booked, and mended."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from coop.equipment.actions.fitness_told import tell_in_order, tell_out_of_order
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import offer_openings
from coop.equipment.errors import Refused, TooLate
from coop.equipment.models import Fault, Handover, Thing
from coop.equipment.notices.touched import one_act, touch_thing
from coop.equipment.queries.faults import fault_for, needs_a_test
from coop.equipment.rights import can_keep, require_keep
from coop.people.changes import record_change
from coop.people.models import Member

What, Stops = Fault.What, Fault.Stops
LONGEST_FAULT = Fault._meta.get_field("sentence").max_length or 0
LONGEST_HOW = Fault._meta.get_field("mended_how").max_length or 0
#: What a keeper may let go as it is.
MAY_BE_LET_GO = frozenset({What.PART_MISSING, What.NOT_CLEAN})


@dataclass(frozen=True)
class Report:
    """What a member found wrong. `stops` is the choice of a keeper, `could_hurt` anybody's word."""

    what: str
    sentence: str
    could_hurt: bool = False
    stops: str = ""


def report_fault(thing_id: int, report: Report, *, by: Member) -> Fault:
    """Any member of the co-op says what is wrong with a thing.

    Who keeps it chooses what that stops. From others it stops the next handover, and bookings at
    once where somebody could be hurt; a dial gauge that was bumped or is off stops them whoever
    says so. Raises Refused without a sentence, TooLate for a thing that is retired.
    """
    with one_act():
        thing = lock_thing(by.coop, thing_id)
        if thing.retired_at:
            raise TooLate(f"{thing} is no longer shared.")
        sentence = report.sentence.strip()
        if not sentence:
            raise Refused("Say in a sentence what is wrong.", field="sentence")
        return open_fault(thing, report.what, _stops(thing, report, by), sentence, by=by)


def _stops(thing: Thing, report: Report, by: Member) -> str:
    if report.could_hurt or needs_a_test(thing, report.what):
        return Stops.BOOKINGS
    return report.stops or Stops.HANDOVER if can_keep(by, thing) else Stops.HANDOVER


def open_fault(
    thing: Thing,
    what: str,
    stops: str,
    sentence: str,
    *,
    by: Member,
    handover: Handover | None = None,
) -> Fault:
    """Write down what is wrong with a thing, inside the caller's transaction.

    The caller has locked the thing, and has asked whether `by` may say so. When that puts the
    thing out of order, every household with a coming booking is told, once each. The same again,
    as of a button pressed twice, is the one that stands.
    """
    open_now = list(Fault.objects.filter(thing=thing, mended_at=None))
    sentence = sentence[:LONGEST_FAULT]
    for fault in open_now:
        if (fault.what, fault.stops, fault.sentence) == (what, stops, sentence):
            return fault
    fault = Fault.objects.create(
        thing=thing, handover=handover, what=what, stops=stops, sentence=sentence, by=by
    )
    touch_thing(thing)
    out_of_order = fault.stops == Stops.BOOKINGS
    state = "Out of order" if out_of_order else "To see to"
    record_change(
        thing,
        f"{state}: {sentence}",
        coop=thing.coop,
        by=by,
        after={"fault": fault.pk, "what": what, "stops": stops},
    )
    # Nothing can have been booked since an earlier fault stopped it: those have all been told.
    if out_of_order and not any(each.stops == Stops.BOOKINGS for each in open_now):
        tell_out_of_order(thing, sentence)
    return fault


def mend(fault_id: int, how: str, *, by: Member, let_go: bool = False) -> Fault:
    """Who keeps a thing says how a fault was mended, or why it is let go as it is.

    With the last fault that stopped bookings, those with one coming are told, and what is free is
    offered. Raises NotAllowed, TooLate for what is mended, Refused without a word how, or where
    only a gauge test lifts it.
    """
    with one_act():
        found = fault_for(by, fault_id)
        thing = lock_thing(by.coop, found.thing_id)
        require_keep(by, thing)
        fault = fault_for(by, fault_id)
        if fault.mended_at:
            raise TooLate(f"{fault.mended_by} wrote that down already: {fault.mended_how}")
        if needs_a_test(thing, fault.what):
            raise Refused(
                "Only a gauge test that finds it fit lifts this: write the test down first."
            )
        if let_go and fault.what not in MAY_BE_LET_GO:
            raise Refused("That cannot be let go: say how it was mended.", field="how")
        if not (how := how.strip()):
            missing = "Say why it can be used as it is." if let_go else "Say how it was mended."
            raise Refused(missing, field="how")
        said = f"let go as it is: {how}" if let_go else how
        lift(thing, [fault], said, by=by, now=timezone.now())
        return fault


def lift(thing: Thing, faults: Iterable[Fault], how: str, *, by: Member, now: datetime) -> None:
    """Write faults of a locked thing down as mended; tell and offer where it is in order again."""
    lifted = list(faults)
    touch_thing(thing)
    for fault in lifted:
        fault.mended_at, fault.mended_by, fault.mended_how = now, by, how[:LONGEST_HOW]
        fault.save(update_fields=["mended_at", "mended_by", "mended_how"])
        record_change(
            thing,
            f"Mended: {fault.sentence} {how}",
            coop=thing.coop,
            by=by,
            before={"fault": fault.pk, "what": fault.what, "stops": fault.stops},
        )
    stopped = any(fault.stops == Stops.BOOKINGS for fault in lifted)
    still = Fault.objects.filter(thing=thing, stops=Stops.BOOKINGS, mended_at=None).exists()
    if stopped and not still:
        tell_in_order(thing, now)
        offer_openings(thing, now)


def reopen(thing: Thing, faults: Iterable[Fault]) -> None:
    """Have faults of a locked thing stand again; tell where that puts it out of order."""
    stopped = Fault.objects.filter(thing=thing, stops=Stops.BOOKINGS, mended_at=None).exists()
    again = list(faults)
    touch_thing(thing)
    for fault in again:
        fault.mended_at, fault.mended_by, fault.mended_how = None, None, ""
        fault.save(update_fields=["mended_at", "mended_by", "mended_how"])
    stopping = [fault for fault in again if fault.stops == Stops.BOOKINGS]
    if stopping and not stopped:
        tell_out_of_order(thing, stopping[0].sentence)
