"""Which shared thing a use of a plan wants, and for how long: where a time for it is found."""

from __future__ import annotations

from urllib.parse import urlencode

from coop.equipment.kinds import Gauge, ThingKind
from coop.kitchen.models import Use, Way
from coop.kitchen.queries.figures import UseFigures

MINUTES_IN_HOUR, STEP = 60, 30
#: A booking is no longer than that in a first search; many loads are run on more than one day, or
#: in more than one canner. Judgement, no source.
MOST_MINUTES = 8 * MINUTES_IN_HOUR
CANNERS = {
    "boiling_water": {"kind": ThingKind.WATER_BATH_CANNER.value},
    "dial_gauge": {"kind": ThingKind.PRESSURE_CANNER.value, "gauge": Gauge.DIAL.value},
    "weighted_gauge": {"kind": ThingKind.PRESSURE_CANNER.value, "gauge": Gauge.WEIGHTED.value},
}


def thing_query(use: Use, figures: UseFigures, what_for: str) -> str:
    """The query of the page that finds a time for a use; empty where it wants no shared thing.

    For a canner as long as its loads may take on the stove, one after another; for a dryer as long
    as the table says at the most.
    """
    if use.way == Way.CAN and figures.batch and figures.batch.loads:
        wanted = CANNERS[use.method] | _for(figures.batch.stove_minutes_high, MOST_MINUTES)
    elif use.way == Way.DRY and figures.dry:
        minutes = int(figures.dry.hours_high * MINUTES_IN_HOUR)
        wanted = {"kind": ThingKind.DEHYDRATOR.value, "hours": "any"} | _for(minutes, minutes)
    else:
        return ""
    return urlencode(wanted | {"purpose": what_for, "about": f"plan:{use.plan_id}"})


def hours_of_part(figures: UseFigures) -> int | None:
    """How many hours a search for a canner is of, where the loads may take longer; else None."""
    batch = figures.batch
    if batch is None or not batch.loads or batch.stove_minutes_high <= MOST_MINUTES:
        return None
    return MOST_MINUTES // MINUTES_IN_HOUR


def _for(minutes: int, most: int) -> dict[str, str]:
    """So many minutes, up to the next half hour."""
    return {"minutes": str(-(-min(minutes, most) // STEP) * STEP)}
