"""Lot plans the slow, obvious way, and a checker that judges plans however they were found."""

from collections.abc import Iterator, Sequence
from itertools import product

from coop.core.lots import LotPlan, Offer


def slow_cost(offers: Sequence[Offer], counts: Sequence[int]) -> int:
    """Goods at the last price reached, and for every farm the dearest trip of what is bought."""
    goods = 0
    trips = {}
    for place, (offer, count) in enumerate(zip(offers, counts, strict=True)):
        if count:
            price = max((start, cents) for start, cents in offer.prices if start <= count)[1]
            goods += count * price
            farm = ("named", offer.farm) if offer.farm is not None else ("alone", place)
            trips[farm] = max(trips.get(farm, 0), offer.fixed_cents)
    return goods + sum(trips.values())


def sold(offer: Offer, upper: int) -> Iterator[int]:
    """Every number of containers that the farm sells and that fits into `upper` steps."""
    yield 0
    for count in range(1, upper // offer.size + 1):
        if count >= offer.at_least and (offer.available is None or count <= offer.available):
            yield count


def slow_plans(lower: int, wanted: int, upper: int, offers: Sequence[Offer]) -> list[LotPlan]:
    """Try every set of containers; keep the best for each amount; put the plans in order."""
    order = standing_together(offers)
    best: dict[int, tuple[tuple[int, ...], tuple[int, ...]]] = {}
    for counts in product(*(sold(offer, upper) for offer in offers)):
        amount = sum(count * offer.size for count, offer in zip(counts, offers, strict=True))
        if lower <= amount <= upper:
            earliest = [-counts[place] for place in order]
            rank = (slow_cost(offers, counts), sum(counts), *earliest)
            if amount not in best or rank < best[amount][0]:
                best[amount] = (rank, counts)
    plans = [
        LotPlan(counts, amount, rank[0], max(0, wanted - amount), max(0, amount - wanted))
        for amount, (rank, counts) in best.items()
    ]
    return sorted(plans, key=lambda plan: (plan.short, plan.cost_cents, plan.over))


def standing_together(offers: Sequence[Offer]) -> list[int]:
    """The places of the offers, those of one farm moved up to its first."""
    farms = [offer.farm for offer in offers]
    first = {
        place: place if farm is None else farms.index(farm) for place, farm in enumerate(farms)
    }
    return sorted(first, key=lambda place: (first[place], place))


def check_plans(plans: Sequence[LotPlan], wanted: int, offers: Sequence[Offer]) -> None:
    """Fail unless each plan can be bought, adds up, and stands in its order with its own amount.

    It does not check that a plan is the cheapest, nor that every amount is there.
    """
    for plan in plans:
        for offer, count in zip(offers, plan.counts, strict=True):
            assert count in set(sold(offer, plan.amount))
        assert plan.amount == sum(
            count * offer.size for count, offer in zip(plan.counts, offers, strict=True)
        )
        assert plan.cost_cents == slow_cost(offers, plan.counts)
        assert (plan.short, plan.over) == (
            max(0, wanted - plan.amount),
            max(0, plan.amount - wanted),
        )
    assert len({plan.amount for plan in plans}) == len(plans)
    ranks = [(plan.short, plan.cost_cents, plan.over) for plan in plans]
    assert ranks == sorted(ranks)
