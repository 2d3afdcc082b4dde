"""Things, bookings and handovers for tests, every argument defaulted.

Rows are written as the acts would leave them, without going through the acts. All names invented.
"""

from datetime import timedelta
from typing import Any

from coop.equipment.kinds import ThingKind
from coop.equipment.models import (
    Booking,
    Fault,
    GaugeTest,
    Handover,
    OpenHours,
    Part,
    Standby,
    Thing,
)
from coop.people.models import Coop, Household
from tests.web.factories import NOW, make_coop, make_household, make_member, number
from tests.web.kitchen_factories import speaker

HOUR = timedelta(hours=1)
WHOLE_DAY = (0, 1440)


def make_thing(
    coop: Coop | None = None,
    kind: str = ThingKind.PRESSURE_CANNER,
    *,
    name: str = "",
    owner: Household | None = None,
    hours: Any = (),
    parts: dict[str, int] | None = None,
    **fields: Any,
) -> Thing:
    """A thing of the co-op, or of `owner`; `hours` are (weekday, from minute, to minute)."""
    coop = coop or (owner.coop if owner else make_coop())
    by = coop.members.first() or make_member(owner or make_household(coop))
    thing = Thing.objects.create(
        coop=coop, kind=kind, name=name or f"Canner {number()}", owner=owner, by=by, **fields
    )
    OpenHours.objects.bulk_create(
        OpenHours(thing=thing, weekday=day, from_minute=start, to_minute=end)
        for day, start, end in hours
    )
    Part.objects.bulk_create(
        Part(thing=thing, name=part, count=count) for part, count in (parts or {}).items()
    )
    return thing


def make_dial_canner(coop: Coop | None = None, **fields: Any) -> Thing:
    """A pressure canner with a dial gauge that nobody has tested."""
    return make_thing(coop, ThingKind.PRESSURE_CANNER, gauge="dial", **fields)


def make_booking(
    thing: Thing | None = None,
    household: Household | None = None,
    *,
    start: Any = NOW + 24 * HOUR,
    hours: float = 3,
    **fields: Any,
) -> Booking:
    """A booking from `start`, by default three hours from the same time tomorrow."""
    thing = thing or make_thing(household.coop if household else None)
    household = household or make_household(thing.coop)
    ends = start + hours * HOUR
    turnaround = fields.pop("turnaround_minutes", thing.turnaround_minutes)
    return Booking.objects.create(
        coop=thing.coop,
        thing=thing,
        household=household,
        starts_at=start,
        ends_at=ends,
        turnaround_minutes=turnaround,
        free_at=ends + timedelta(minutes=turnaround),
        by=speaker(household),
        **fields,
    )


def make_out(booking: Booking, **fields: Any) -> Handover:
    """The thing of a booking goes out, by default when it starts."""
    values = {"condition": "good", "at": booking.starts_at, "by": speaker(booking.household)}
    return Handover.objects.create(booking=booking, what="out", **(values | fields))


def make_back(booking: Booking, **fields: Any) -> Handover:
    """The thing of a booking, which is out, comes back, by default when it ends."""
    values = {"condition": "good", "at": booking.ends_at, "by": speaker(booking.household)}
    return Handover.objects.create(booking=booking, what="back", **(values | fields))


def make_fault(thing: Thing, *, stops: str = "bookings", **fields: Any) -> Fault:
    """Something wrong with a thing, by default what puts it out of order."""
    values = {"what": "damaged", "sentence": "The handle is loose.", "by": thing.by}
    return Fault.objects.create(thing=thing, stops=stops, **(values | fields))


def make_gauge_test(thing: Thing, **fields: Any) -> GaugeTest:
    """A test of a dial gauge that found it right, by default yesterday."""
    values = {
        "tested_on": (NOW - timedelta(days=1)).date(),
        "tester": "County extension office",
        "true_tenths": 110,
        "read_tenths": 110,
        "by": thing.by,
    }
    return GaugeTest.objects.create(thing=thing, **(values | fields))


def make_standby(thing: Thing, household: Household | None = None, **fields: Any) -> Standby:
    """A place in line for three hours of a thing within the coming week."""
    household = household or make_household(thing.coop)
    values = {
        "kind": thing.kind,
        "thing": thing,
        "minutes": 180,
        "from_at": NOW,
        "until_at": NOW + timedelta(days=7),
        "by": speaker(household),
    }
    return Standby.objects.create(coop=thing.coop, household=household, **(values | fields))
