"""Where the produce of a lot may have come from: the shares of its household, and farms."""

from __future__ import annotations

from coop.buying.models import Share
from coop.core.preserving import produce_named
from coop.kitchen.models import Lot

#: A jam may be of any of them.
ANY_FRUIT = "fruit_any"
#: The newest shares that are looked through.
LOOKED_THROUGH = 200


def shares_for(lot: Lot) -> list[Share]:
    """The shares that the household of a lot got of its produce, newest first.

    One query.
    """
    foods = {lot.produce, produce_named(lot.produce)}
    if lot.use is not None:
        foods.add(lot.use.plan.produce)
    shares = (
        Share.objects.filter(
            household=lot.household_id, amount__gt=0, division__withdrawn_at__isnull=True
        )
        .select_related("household", "division__line__buy")
        .order_by("-division__line__buy__pickup_from", "-pk")[:LOOKED_THROUGH]
    )
    return [
        share
        for share in shares
        if ANY_FRUIT in foods or produce_named(share.division.line.produce) in foods - {None}
    ]
