"""What follows from how a thing was found at a handover: what is wrong with it from now on."""

from __future__ import annotations

from collections.abc import Iterator

from coop.equipment.actions.fitness import open_fault
from coop.equipment.actions.ready import missing_said
from coop.equipment.kinds import Gauge
from coop.equipment.models import Fault, Handover, Thing
from coop.equipment.words import psi_said
from coop.people.models import Member

What, Stops, Condition = Fault.What, Fault.Stops, Handover.Condition
#: What is wrong, what that stops, and the sentence for it.
Finding = tuple[Fault.What, Fault.Stops, str]


def open_faults(thing: Thing, handover: Handover, *, by: Member) -> list[Fault]:
    """Write down all that a handover found wrong; with the thing locked."""
    return [
        open_fault(thing, what, stops, sentence, by=by, handover=handover)
        for what, stops, sentence in findings_of(thing, handover)
    ]


def findings_of(thing: Thing, handover: Handover) -> Iterator[Finding]:
    """All that a handover found wrong, the gravest first.

    A part that was missing when it went out is written down then, and is not held against whoever
    had it.
    """
    if handover.what == Handover.What.BACK:
        yield from _of_a_return(thing, handover)
    missing = [
        (part.name, part.counted, part.expected)
        for part in handover.parts.all()
        if part.counted < part.expected
    ]
    if missing:
        went = "came back from" if handover.what == Handover.What.BACK else "went out to"
        sentence = (
            f"Missing when it {went} {handover.booking.household}: {missing_said(missing)}. Find "
            "it, or say that it can do without."
        )
        yield What.PART_MISSING, Stops.HANDOVER, sentence


def _of_a_return(thing: Thing, back: Handover) -> Iterator[Finding]:
    household, note = back.booking.household, f" “{back.note}”" if back.note else ""
    if back.bumped and thing.gauge == Gauge.DIAL:
        # "Test every year before the season and whenever dropped or bumped": trade practice. The
        # yearly test, and the limit, are the published cautions on dial gauges (USDA15).
        sentence = f"Dropped or bumped while {household} had it: the dial gauge must be tested."
        yield What.BUMPED, Stops.BOOKINGS, sentence
    elif back.bumped:
        sentence = f"Dropped or bumped while {household} had it: look it over before it goes out."
        yield What.BUMPED, Stops.HANDOVER, sentence
    if thing.gauge == Gauge.DIAL and back.reading_tenths:
        # A dial that does not rest at 0 is off: common practice, no source.
        sentence = (
            f"The dial showed {psi_said(back.reading_tenths)} with the canner cold and open, "
            "where it should show 0: it must be tested."
        )
        yield What.GAUGE_OFF, Stops.BOOKINGS, sentence
    if back.condition == Condition.DAMAGED:
        yield What.DAMAGED, Stops.BOOKINGS, f"Damaged when {household} brought it back.{note}"
    if back.condition == Condition.NOT_CLEAN:
        sentence = f"Not clean when {household} brought it back: clean it first.{note}"
        yield What.NOT_CLEAN, Stops.HANDOVER, sentence
