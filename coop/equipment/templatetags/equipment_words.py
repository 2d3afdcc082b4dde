"""`{% load equipment_words %}`: equipment in words. The words themselves are in coop/equipment."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django import template
from django.template.defaultfilters import length as count_of

from coop.core.tables import CautionRow, caution, spelled_out
from coop.core.tables import cautions as cautions_about
from coop.equipment import words
from coop.equipment.kinds import KINDS, Gauge
from coop.equipment.models import Booking, OpenHours, Thing

register = template.Library()

register.filter("kind_words", words.kind_said)
register.filter("gauge_words", words.gauge_said)
register.filter("stove_words", words.stoves_said)
register.filter("pounds", words.pounds_said)
register.filter("amps", words.amps_said)
register.filter("psi", words.psi_said)
register.filter("off_words", words.off_said)
register.filter("booked_when", words.booked_said)

#: The caution that says why a dial gauge is tested, and the one that says why another is not.
DIAL_TOPIC = "dial_gauge"


@register.filter
def hours_words(hours: Iterable[OpenHours]) -> str:
    """`{{ thing.hours.all|hours_words }}`: Mon to Fri 8:00 to 20:00; Sat 9:00 to 12:00."""
    return words.hours_said(hours)


@register.filter
def reads_words(off_tenths: int) -> str:
    """`{{ judged.off_tenths|reads_words }}`: reads 1 psi high."""
    return f"reads {words.off_said(off_tenths)}"


@register.filter
def reading_words(tenths: int, kind: str) -> str:
    """`{{ move.reading_tenths|reading_words:thing.kind }}`: 3 psi."""
    return words.reading_said(tenths, kind)


@register.filter
def read_then_words(off_tenths: int) -> str:
    """`{{ judged.off_tenths|read_then_words }}`: read 1 psi high then, of a test of long ago."""
    return f"read {words.off_said(off_tenths)} then"


@register.filter
def length(value: Any) -> Any:
    """`{{ thing.longest_minutes|length }}`: 7 days, of minutes; of a list, how many, as ever."""
    return words.unbroken(words.length_said(value)) if isinstance(value, int) else count_of(value)


@register.filter
def lasts(booking: Booking) -> str:
    """`{{ booking|lasts }}`: 3 h, whatever the clocks do meanwhile."""
    return words.unbroken(
        words.length_said(words.minutes_between(booking.starts_at, booking.ends_at))
    )


@register.simple_tag
def span_words(start: datetime, end: datetime, coop: object) -> str:
    """`{% span_words slot.start slot.end coop %}`: Thu 13 Aug, 14:00 to 17:00."""
    return words.span_said(start, end, coop)  # type: ignore[arg-type]


@register.filter
def moment_words(moment: datetime, coop: object) -> str:
    """`{{ booking.shifted_from|moment_words:coop }}`: Thu 13 Aug, 14:00."""
    return words.moment_said(moment, coop)  # type: ignore[arg-type]


@register.simple_tag
def later_words(booking: Booking) -> str:
    """`{% later_words booking %}`: the same day, 5 h later, of one that was moved."""
    was = booking.shifted_from
    return words.later_by(was, booking.starts_at, booking.coop) if was else ""


@register.filter
def icon_of(kind: str) -> str:
    """`{% icon thing.kind|icon_of %}`: the small picture of a kind of thing."""
    return KINDS[kind].icon if kind in KINDS else "canner"


@register.filter
def sources_words(keys: Iterable[str]) -> str:
    """`{{ caution.source|sources_words }}`: the sources spelled out; their titles have commas."""
    return "; ".join(spelled_out(key) for key in keys)


@register.simple_tag
def caution_of(name: str) -> CautionRow:
    """`{% caution_of "dial_gauge_1" as said %}`: one published caution, its gist and sources."""
    return caution(name)


@register.filter
def cautions_of(thing: Thing) -> list[CautionRow]:
    """`{{ thing|cautions_of }}`: the published cautions for its kind.

    Those of dial gauges only for a canner that has one.
    """
    topics = KINDS[thing.kind].cautions if thing.kind in KINDS else ()
    return [
        each
        for topic in topics
        if topic != DIAL_TOPIC or thing.gauge == Gauge.DIAL
        for each in cautions_about(topic)
    ]
