"""Tables of buying. Amounts are whole base steps: tenths of a pound, or pieces (see Measure)."""

from coop.buying.models.asks import Ask, Release, RulesAccepted
from coop.buying.models.buys import Buy, CallIn, Line, Supply, SupplyPrice
from coop.buying.models.costs import BuyPayment, Charge
from coop.buying.models.farms import Farm, Measure, Offer, PriceBreak
from coop.buying.models.shares import Division, Share, Spare, SpareClaim
from coop.buying.models.tallies import Tally, Weighing

__all__ = [
    "Ask",
    "Buy",
    "BuyPayment",
    "CallIn",
    "Charge",
    "Division",
    "Farm",
    "Line",
    "Measure",
    "Offer",
    "PriceBreak",
    "Release",
    "RulesAccepted",
    "Share",
    "Spare",
    "SpareClaim",
    "Supply",
    "SupplyPrice",
    "Tally",
    "Weighing",
]
