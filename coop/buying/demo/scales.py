"""What the demo's scale said, from the few figures that the script gives of each delivery."""

from __future__ import annotations

from typing import Any

from coop.buying.actions.tally import Loaded, OnScale
from coop.buying.demo.script import steps
from coop.buying.models import Supply
from coop.buying.queries.lines import core_offer

#: By how much one container differs from the next on the scale, in tenths of a pound.
SPREAD = (0, 4, -3, 2, -5, 1, 3, -2)


def as_loaded(supply: Supply, came: dict[str, Any]) -> Loaded:
    """Containers weighed one by one; the bill is the farm's price for as many as came."""
    measure = supply.line.measure
    containers = (supply.called_in or 0) - came["missing"]
    if containers <= 0:
        return Loaded(containers=0)
    gross, tare = steps(came["gross_each"], measure), steps(came["tare_each"], measure)
    weighings = tuple(
        OnScale(containers=1, gross=gross + SPREAD[number % len(SPREAD)], tare=tare)
        for number in range(containers)
    )
    culls, soft = steps(came["culls"], measure), steps(came.get("soft", "0"), measure)
    usable = sum(each.gross - each.tare for each in weighings) - culls
    return Loaded(
        containers=containers,
        weighings=weighings,
        culls=culls,
        soft=soft,
        firm=max(0, usable - soft) if soft else 0,
        bill_cents=core_offer(supply).cost_cents(containers),
        note=came.get("note", ""),
    )
