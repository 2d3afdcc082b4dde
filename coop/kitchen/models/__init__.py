"""Tables of the kitchen, one file a noun."""

from coop.kitchen.models.kitchens import Kitchen
from coop.kitchen.models.loads import Load
from coop.kitchen.models.lots import Fate, Lot, SealCheck, Taken
from coop.kitchen.models.plans import Outcome, Plan, Use, Way
from coop.kitchen.models.warnings import JarWarning, WarningTo

__all__ = [
    "Fate",
    "JarWarning",
    "Kitchen",
    "Load",
    "Lot",
    "Outcome",
    "Plan",
    "SealCheck",
    "Taken",
    "Use",
    "WarningTo",
    "Way",
]
