"""How high a plan is cooked: minutes and pressure depend on nothing else of the place."""

from __future__ import annotations

from coop.kitchen.models import Plan
from coop.people.models import Coop


def altitude_of(plan: Plan) -> int:
    """Feet above the sea of the plan's kitchen, else of its co-op; both fetched with the plan."""
    return plan.kitchen.altitude_ft if plan.kitchen else plan.coop.altitude_ft


def place_of(plan: Plan) -> str:
    """What the altitude is that of: the kitchen's name, or that it is the co-op's."""
    return plan.kitchen.name if plan.kitchen else "the co-op's altitude"


def coops_altitude(coop: Coop) -> str:
    """What to say where no kitchen is chosen, so that nobody takes it for their own home."""
    return f"The co-op's altitude, {coop.altitude_ft:,} ft"
