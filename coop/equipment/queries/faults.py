"""Faults read: one for a member, and those of a thing."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from coop.equipment.kinds import Gauge
from coop.equipment.models import Fault, Thing
from coop.people.models import Member

#: What makes a dial gauge unfit until a test finds it fit: dropped or bumped, or found off. Source:
#: extension offices, in the trade notes, section 4.
ONLY_A_TEST_LIFTS = frozenset({Fault.What.BUMPED, Fault.What.GAUGE_OFF})


def needs_a_test(thing: Thing, what: str) -> bool:
    """Whether only a gauge test that finds it fit lifts such a fault of a thing."""
    return thing.gauge == Gauge.DIAL and what in ONLY_A_TEST_LIFTS


def fault_for(member: Member, fault_id: int) -> Fault:
    """A fault to read, with its thing. Absent and another co-op's are the same 404."""
    fault = (
        Fault.objects.filter(thing__coop=member.coop, pk=fault_id)
        .select_related("thing__coop", "thing__owner", "by__household", "mended_by__household")
        .first()
    )
    if fault is None:
        raise Http404
    return fault


def mended_of(thing: Thing, most: int = 10) -> QuerySet[Fault]:
    """What was wrong with a thing and is mended, the latest first, the last few. One query."""
    mended = thing.faults.exclude(mended_at=None).select_related("by__household", "mended_by")
    return mended.order_by("-mended_at", "-id")[:most]
