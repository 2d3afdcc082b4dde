"""Tables of equipment, one file a noun."""

from coop.equipment.models.bookings import Booking, Standby
from coop.equipment.models.fitness import Care, CareDone, Fault, GaugeTest
from coop.equipment.models.handovers import CountedPart, Handover
from coop.equipment.models.things import OpenHours, Part, Photo, Thing
from coop.equipment.models.told import Told

__all__ = [
    "Booking",
    "Care",
    "CareDone",
    "CountedPart",
    "Fault",
    "GaugeTest",
    "Handover",
    "OpenHours",
    "Part",
    "Photo",
    "Standby",
    "Thing",
    "Told",
]
