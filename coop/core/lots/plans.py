"""Lot plans: for every amount that can be called in, the cheapest containers, best plan first."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from coop.core.lots.offer import Offer, farm_of
from coop.core.lots.table import Line, best_choices

MOST_AMOUNTS = 1_000_000  # amounts in one table; a dozen offers then take about 200 MB


@dataclass(frozen=True)
class LotPlan:
    """Containers of each offer, and what they come to.

    Parameters:
        counts: containers of each offer, in the order of the offers.
        amount: base steps in all.
        cost_cents: goods and trips.
        short, over: base steps under and over what is wanted; at most one of them is above 0.
    """

    counts: tuple[int, ...]
    amount: int
    cost_cents: int
    short: int
    over: int


def lot_plans(lower: int, wanted: int, upper: int, offers: Sequence[Offer]) -> list[LotPlan]:
    """For every amount from `lower` to `upper` that containers can make up, the cheapest way.

    Parameters:
        lower, wanted, upper: base steps that the asks need, want and bear, rising, 0 or more.
        offers: lines of price lists, all sized in the same base step.

    Returns: one plan for each amount, best first: the least short of what is wanted, then the
    cheapest, then the least over. So the first plan is the cheapest that covers what is wanted,
    and it is a larger amount than need be where a price break makes more cost less. Plans that
    fall short follow, the nearest first. Among equally cheap ways to one amount: the fewest
    containers, then the most from the earliest offer, then from the next (offers of one farm
    count as standing together, where the first of them stands). An empty list means that no set
    of containers lies between `lower` and `upper`. Where `lower` is 0, buying nothing is a plan.

    Raises: ValueError if the three amounts are below zero or do not rise, or if the table would
    hold more than MOST_AMOUNTS amounts, counted in the greatest common divisor of the sizes.

    Source: a bounded knapsack by dynamic programming, with a sliding minimum for each remainder by
    the size (H. Kellerer, U. Pferschy and D. Pisinger, "Knapsack Problems", Springer, 2004, chapter
    7; from memory), here with prices that break, minimums and trips.

    >>> bushels = Offer("bushel", 4, [(1, 2400), (3, 1500)])
    >>> pecks = Offer("peck", 1, [(1, 800)], available=3)
    >>> for plan in lot_plans(6, 9, 12, [bushels, pecks])[:3]:
    ...     print(plan)
    LotPlan(counts=(3, 0), amount=12, cost_cents=4500, short=0, over=3)
    LotPlan(counts=(2, 1), amount=9, cost_cents=5600, short=0, over=0)
    LotPlan(counts=(2, 2), amount=10, cost_cents=6400, short=0, over=1)
    """
    _check(lower, wanted, upper)
    unit = gcd(*(offer.size for offer in offers)) or 1
    top = _top(upper, offers) // unit
    if top >= MOST_AMOUNTS:
        raise ValueError(f"{top + 1} amounts to compare is over {MOST_AMOUNTS}: use a larger step.")
    farms = [
        [(place, _line(offers[place], unit, top)) for place in places]
        for places in _by_farm(offers)
    ]
    return sorted(
        _plans(farms, top, lower=lower, wanted=wanted, unit=unit),
        key=lambda plan: (plan.short, plan.cost_cents, plan.over),
    )


def _check(lower: int, wanted: int, upper: int) -> None:
    if lower < 0:
        raise ValueError(f"Lower {lower} is below 0.")
    if wanted < lower:
        raise ValueError(f"Wanted {wanted} is below lower {lower}.")
    if upper < wanted:
        raise ValueError(f"Upper {upper} is below wanted {wanted}.")


def _top(upper: int, offers: Sequence[Offer]) -> int:
    """The largest amount worth a place in the table: `upper`, or all that the farms have."""
    if any(offer.available is None for offer in offers):
        return upper
    return min(upper, sum((offer.available or 0) * offer.size for offer in offers))


def _by_farm(offers: Sequence[Offer]) -> list[list[int]]:
    """The places of the offers, those of a farm together, farms in the order of their first."""
    places: dict[str | int, list[int]] = {}
    for place in range(len(offers)):
        places.setdefault(farm_of(offers, place), []).append(place)
    return list(places.values())


def _line(offer: Offer, unit: int, top: int) -> Line:
    size = offer.size // unit
    fits = top // size
    return Line(offer, size, fits if offer.available is None else min(fits, offer.available))


def _plans(
    farms: Sequence[Sequence[tuple[int, Line]]], top: int, *, lower: int, wanted: int, unit: int
) -> list[LotPlan]:
    """Read the plans out of the table, walking from the first farm to the last for all at once."""
    if not farms:
        return [LotPlan((), 0, 0, short=wanted, over=0)] if lower == 0 else []
    scale, choices = best_choices([[line for _, line in lines] for lines in farms], top)
    least = -(-lower // unit)
    keys = choices[0].keys[least:]
    amounts = least + np.flatnonzero(keys < scale.absent)
    counts = np.zeros((sum(map(len, farms)), len(amounts)), dtype=np.int64)
    left = amounts
    for lines, choice in zip(farms, choices, strict=True):
        here = left
        for row, (place, line) in enumerate(lines):
            counts[place] = choice.counts[row][here]
            left = left - counts[place] * line.size
    costs = choices[0].keys[amounts] // scale.width
    return [
        LotPlan(tuple(each), amount, cost, max(0, wanted - amount), max(0, amount - wanted))
        for each, amount, cost in zip(
            counts.T.tolist(), (amounts * unit).tolist(), costs.tolist(), strict=True
        )
    ]
