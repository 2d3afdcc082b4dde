"""Choosing lots: which containers to call in from which farm, and what they cost, exactly."""

from coop.core.lots.offer import (
    Offer,
    PriceBreak,
    cost_of,
    next_price_break,
)
from coop.core.lots.plans import MOST_AMOUNTS, LotPlan, lot_plans

__all__ = [
    "MOST_AMOUNTS",
    "LotPlan",
    "Offer",
    "PriceBreak",
    "cost_of",
    "lot_plans",
    "next_price_break",
]
