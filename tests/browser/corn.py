"""The figures of one buy: sweet corn for nine households, and peaches for three of them.

A bushel of sweet corn in the husk weighs 35 lb and a bushel of peaches 48 lb: USDA, "Complete
Guide to Home Canning" (Agriculture Information Bulletin 539, revised 2015), guides 4 and 2.
Households, farms, prices and what they ask are invented. The sums are all done by hand, in
`by_hand`: nothing here asks the product.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from tests.browser import by_hand
from tests.browser.by_hand import Offer, Plan, Wish

STEP = 5  # tenths: the half pound to which people divide; common practice, no source
CORN, PEACHES = "Sweet corn", "Peaches"
NEAR, FAR = "Fennick Farm", "Harrow Orchard"
MILES = {CORN: 30, PEACHES: 60}
CENTS_A_MILE = 70

COORDINATOR, TREASURER, FRONTS, DRIVES = "Adeyemi", "Brandt", "Huang", "Castell"
STAYS_AWAY, CLAIMS, PAYS_CASH = "Fenn", "Ibsen", "Eklund"
NO_SHOW_CENTS = 400

# What each got of what it asked, earlier this season, in pounds.
PAST = {
    "Adeyemi": (270, 300), "Brandt": (200, 200), "Castell": (150, 300), "Dufresne": (200, 250),
    "Eklund": (120, 200), "Fenn": (95, 100), "Garza": (105, 150), "Huang": (180, 240),
    "Ibsen": (100, 120),
}  # fmt: skip
HOUSEHOLDS = list(PAST)


def _wish(who: str, wanted: int, **terms: int) -> Wish:
    got, asked = PAST[who]
    return Wish(wanted, past_asked=asked, past_got=got, **{"step": STEP} | terms)


WISHES = {
    CORN: {
        "Adeyemi": _wish("Adeyemi", 540),
        "Brandt": _wish("Brandt", 200, at_least=200, or_none=True),
        "Castell": _wish("Castell", 700, step=350),
        "Dufresne": _wish("Dufresne", 310, at_least=200),
        "Eklund": _wish("Eklund", 420, at_most=500),
        "Fenn": _wish("Fenn", 170),
        "Garza": _wish("Garza", 260),
        "Huang": _wish("Huang", 360),
        "Ibsen": _wish("Ibsen", 120),
    },
    PEACHES: {
        "Castell": _wish("Castell", 240),
        "Garza": _wish("Garza", 480, at_most=540),
        "Huang": _wish("Huang", 200),
    },
}
OFFERS = {
    CORN: {
        "bushel": Offer(350, {1: 2400, 6: 2100, 10: 1850}),
        "half-bushel": Offer(175, {1: 1400}),
    },
    PEACHES: {"bushel": Offer(480, {1: 3800})},
}
RULES = ("season", "even", "proportional", "even_loss", "concede")

# What was loaded: (containers together, tenths on the scale), and what an empty one weighs.
SCALE = {CORN: [(3, 1110), (3, 1104), (2, 712)], PEACHES: [(1, 503), (1, 492)]}
TARE = {CORN: 25, PEACHES: 15}
CULLS = {CORN: 59, PEACHES: 0}
BILL = {CORN: 8 * 2100, PEACHES: 2 * 3800}
FUEL = 3600
CLAIMED = 50


# ---- Before the call-in ---------------------------------------------------------------------
def wanted(line: str) -> int:
    """What all want together."""
    return sum(wish.wanted for wish in WISHES[line].values())


def bears(line: str) -> int:
    """What all would take together."""
    return sum(wish.most // wish.step * wish.step for wish in WISHES[line].values())


def needed(line: str) -> int:
    """What all must have at the least."""
    return sum(wish.amounts()[0] for wish in WISHES[line].values())


def plans(line: str) -> dict[int, Plan]:
    """The cheapest containers by amount, up to one container more than the asks bear."""
    offers = list(OFFERS[line].values())
    highest = bears(line) + max(offer.size for offer in offers)
    found = by_hand.plans(offers, lowest=needed(line), highest=highest)
    return {plan.amount: plan for plan in found}


def best(line: str) -> Plan:
    """The recommended plan."""
    found = list(plans(line).values())
    return by_hand.recommended(found, wanted=wanted(line), bears=bears(line))


def words(line: str, plan: Plan) -> str:
    """A plan as people say it."""
    farm = {CORN: NEAR, PEACHES: FAR}[line]
    if not plan.amount:
        return "Nothing"
    names = zip(OFFERS[line], plan.counts, strict=True)
    return " and ".join(
        f"{count} {name}{'' if count == 1 else 's'}, {farm}" for name, count in names if count
    )


def with_trip(line: str, plan: Plan) -> int:
    """What a plan costs with the trip to its farm, which nobody makes for nothing."""
    return plan.cents + (MILES[line] * CENTS_A_MILE if plan.amount else 0)


def trips() -> int:
    """Both farms are driven to."""
    return sum(MILES.values()) * CENTS_A_MILE


@dataclass(frozen=True)
class Estimate:
    """What each would get of each line, and pay for the whole buy, trips included."""

    shares: Mapping[str, Mapping[str, int]]
    cents: Mapping[str, int]
    total: int


@cache
def estimate(corn: int, goods_corn: int, peaches: int, goods_peaches: int) -> Estimate:
    """If containers with these amounts, at these costs, came as promised."""
    amounts, goods = {CORN: corn, PEACHES: peaches}, {CORN: goods_corn, PEACHES: goods_peaches}
    shares = {line: shared(line, amounts[line], "season") for line in WISHES}
    cents = dict.fromkeys(HOUSEHOLDS, 0)
    for line in WISHES:
        spare = {"nobody": max(0, amounts[line] - bears(line))}
        parts = by_hand.to_the_cent(goods[line], shares[line] | spare)
        for who in shares[line]:
            cents[who] += parts[who]
    for who, part in trip_parts(trips(), shares).items():
        cents[who] += part
    return Estimate(shares, cents, sum(goods.values()) + trips())


@cache
def shared(line: str, amount: int, rule: str) -> dict[str, int]:
    """Who gets what of an amount by a rule."""
    wishes = WISHES[line]
    given = by_hand.shares(amount, list(wishes.values()), rule)
    return dict(zip(wishes, given, strict=True))


def trip_parts(cents: int, got: Mapping[str, Mapping[str, int]]) -> dict[str, int]:
    """A cost by the trip: the longest that each needed."""
    longest = {
        who: max(MILES[line] for line in got if got[line].get(who))
        for who in HOUSEHOLDS
        if any(got[line].get(who) for line in got)
    }
    weights: Mapping[str, Fraction] = by_hand.airport(longest)
    return by_hand.to_the_cent(cents, weights)


# ---- What came ------------------------------------------------------------------------------
def delivered(line: str) -> int:
    """What the scale said, less what the containers weigh."""
    return sum(gross - count * TARE[line] for count, gross in SCALE[line])


def usable(line: str) -> int:
    """What there is to divide."""
    return delivered(line) - CULLS[line]


def came(line: str) -> int:
    """How many containers came."""
    return sum(count for count, _ in SCALE[line])


def got(rule: str) -> dict[str, dict[str, int]]:
    """What each got of each line, once it is divided."""
    return {line: shared(line, usable(line), rule) for line in WISHES}


def produce_parts(line: str, rule: str) -> dict[str, int]:
    """What each pays of a farm's bill: by what it got."""
    weights = got(rule)[line]
    assert not by_hand.has_tie(BILL[line], weights)
    return by_hand.to_the_cent(BILL[line], weights)


def fuel_parts(rule: str) -> dict[str, int]:
    """What each pays of the fuel."""
    return trip_parts(FUEL, got(rule))


def claim_part(rule: str) -> int:
    """What goes over with the claim: the part of what the owner paid."""
    had = got(rule)[CORN][STAYS_AWAY]
    paid = produce_parts(CORN, rule)[STAYS_AWAY]
    parts = {"claimed": CLAIMED, "kept": had - CLAIMED}
    assert not by_hand.has_tie(paid, parts)
    return by_hand.to_the_cent(paid, parts)["claimed"]
