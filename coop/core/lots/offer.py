"""One line of a farm's price list, and what a number of its containers costs."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Offer:
    """One line of a farm's price list: a container, its prices, and the farm's terms.

    Parameters:
        container: what the farm calls it, used in errors.
        size: base steps in one container, 1 or more.
        prices: pairs (from this many containers, cents for each), the first from 1, then rising.
            A price holds for every container bought from the offer, not only past the break.
        available: how many containers the farm has, 0 or more; None (the default) is no limit.
        at_least: the farm's minimum, 0 or more (default 0). Buying none is always allowed. A
            minimum above what is available is no mistake (the farm has sold down): none can be
            bought then.
        fixed_cents: what the trip costs, 0 or more (default 0), paid once if anything is bought.
        farm: whose offer it is (default None: a farm of its own). Offers with the same farm share
            one trip: of those that are bought from, the dearest fixed_cents is paid, once.

    Raises: ValueError, naming the offer and the term, if one is out of its bounds.

    >>> corn = Offer("bushel", 520, [(1, 2400), (10, 2100)], available=40, fixed_cents=1500)
    >>> corn.cents_each(9), corn.cents_each(10)
    (2400, 2100)
    >>> corn.cost_cents(10)
    22500
    >>> Offer("lug", 0, [(1, 900)])
    Traceback (most recent call last):
    ...
    ValueError: Offer 'lug': size 0 is below 1.
    """

    container: str
    size: int
    prices: Sequence[tuple[int, int]]
    available: int | None = None
    at_least: int = 0
    fixed_cents: int = 0
    farm: str | None = None

    def __post_init__(self) -> None:
        self._check("size", self.size, bound=1)
        self._check("available", 0 if self.available is None else self.available)
        self._check("at_least", self.at_least)
        self._check("fixed_cents", self.fixed_cents)
        self._check_prices()
        # A tuple, so that the offer cannot change after the check and can be hashed.
        object.__setattr__(self, "prices", tuple((start, cents) for start, cents in self.prices))

    def _check(self, term: str, value: int, *, bound: int = 0) -> None:
        if not isinstance(value, int):
            raise ValueError(f"Offer {self.container!r}: {term} {value!r} is not a whole number.")
        if value < bound:
            raise ValueError(f"Offer {self.container!r}: {term} {value} is below {bound}.")

    def _check_prices(self) -> None:
        if not self.prices or self.prices[0][0] != 1:
            raise ValueError(f"Offer {self.container!r}: the first price must be from 1 container.")
        before = 0
        for start, cents in self.prices:
            self._check("price break", start, bound=1)
            self._check(f"price from {start}", cents)
            if start <= before:
                raise ValueError(
                    f"Offer {self.container!r}: the price break at {start} comes after {before}."
                )
            before = start

    def allows(self, count: int) -> bool:
        """Whether the farm sells this many containers: none, or from its minimum to its limit.

        >>> [count for count in range(6) if Offer("crate", 1, [(1, 5)], 4, 3).allows(count)]
        [0, 3, 4]
        """
        within = self.available is None or count <= self.available
        return count == 0 or (count >= max(1, self.at_least) and within)

    def cents_each(self, count: int) -> int:
        """The price of each container when `count` are bought; for 0, the price of the first.

        >>> Offer("bag", 1, [(1, 500), (3, 450)]).cents_each(0)
        500
        """
        return [cents for start, cents in self.prices if start <= max(1, count)][-1]

    def cost_cents(self, count: int) -> int:
        """What `count` containers cost with the trip, if nothing else is bought of the farm.

        >>> Offer("bag", 1, [(1, 500), (3, 450)], fixed_cents=100).cost_cents(3)
        1450
        """
        return count * self.cents_each(count) + (self.fixed_cents if count else 0)


@dataclass(frozen=True)
class PriceBreak:
    """The next break: how many containers more, cents each then, and the whole with its trip."""

    more: int
    cents_each: int
    cost_cents: int


def next_price_break(offer: Offer, count: int) -> PriceBreak | None:
    """The nearest larger number of containers at which each one costs less.

    Parameters:
        offer: the line of the price list.
        count: containers meant to be bought now, 0 or more; below the farm's minimum will do.

    Returns: the break, or None where the farm sells no larger number for less each. Its whole cost
    can be below what `count` costs now: then more costs less.

    >>> bushels = Offer("bushel", 520, [(1, 2400), (10, 2100)], available=40)
    >>> next_price_break(bushels, 9)
    PriceBreak(more=1, cents_each=2100, cost_cents=21000)
    >>> bushels.cost_cents(9)
    21600
    >>> next_price_break(bushels, 10) is None
    True
    """
    now = offer.cents_each(count)
    for start, _ in offer.prices:
        there = max(start, offer.at_least)
        if there > count and offer.allows(there) and offer.cents_each(there) < now:
            return PriceBreak(there - count, offer.cents_each(there), offer.cost_cents(there))
    return None


def cost_of(offers: Sequence[Offer], counts: Sequence[int]) -> int:
    """What these containers cost together, in cents, with one trip to each farm bought from.

    Parameters:
        offers: the lines of the price lists.
        counts: containers of each offer, in the same order, each a number that the farm sells.

    Returns: cents, 0 or more.

    Raises: ValueError if the two differ in length, or a farm does not sell the number asked.

    >>> crates = Offer("crate", 200, [(1, 1000)], fixed_cents=1500, farm="Hill")
    >>> bags = Offer("bag", 50, [(1, 300), (4, 250)], fixed_cents=900, farm="Hill")
    >>> cost_of([crates, bags], [2, 4])
    4500
    """
    if len(offers) != len(counts):
        raise ValueError(f"{len(counts)} counts for {len(offers)} offers.")
    for offer, count in zip(offers, counts, strict=True):
        if not offer.allows(count):
            raise ValueError(f"Offer {offer.container!r}: the farm does not sell {count}.")
    bought = [place for place, count in enumerate(counts) if count]
    goods = sum(counts[place] * offers[place].cents_each(counts[place]) for place in bought)
    trips: dict[str | int, int] = {}
    for place in bought:
        farm = farm_of(offers, place)
        trips[farm] = max(trips.get(farm, 0), offers[place].fixed_cents)
    return goods + sum(trips.values())


def farm_of(offers: Sequence[Offer], place: int) -> str | int:
    """Whose trip the offer at `place` belongs to: its farm's name, or its own place if it has none.

    >>> farm_of([Offer("bag", 1, [(1, 1)]), Offer("box", 1, [(1, 1)], farm="Hill")], 1)
    'Hill'
    """
    name = offers[place].farm
    return place if name is None else name
