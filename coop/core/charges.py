"""Sharing a cost among households to the cent: equally, by weight, or by the trip."""

from collections.abc import Sequence
from fractions import Fraction

from coop.core.apportion import largest_remainder


def share_equally(cents: int, n: int, tie_order: Sequence[int] | None = None) -> list[int]:
    """Share a cost equally among `n`; the odd cents go to the first, one each.

    Parameters:
        cents: the cost, 0 or more. A credit is shared as a cost is, and posted the other way.
        n: how many share it, 0 or more; 0 only if there is nothing to share.
        tie_order: places 0 to n - 1, each once, in the order in which odd cents are given out.
            None (the default) is the order of the list. Rotate it, so that the odd cents go round.

    Returns: `n` whole numbers of cents that add up to `cents` and differ by at most one.

    Raises: ValueError, naming the offender, for a term out of its bounds.

    >>> share_equally(1000, 3)
    [334, 333, 333]
    >>> share_equally(1000, 3, tie_order=[2, 0, 1])
    [333, 333, 334]
    """
    if n < 0:
        raise ValueError(f"A cost cannot be shared among {n}.")
    return share_by_weight(cents, [1] * n, tie_order)


def share_by_weight(
    cents: int, weights: Sequence[int | Fraction], tie_order: Sequence[int] | None = None
) -> list[int]:
    """Share a cost in proportion to what each has: pounds, jars, hours.

    Parameters:
        cents: the cost, 0 or more. A credit is shared as a cost is, and posted the other way.
        weights: one for each who shares, whole numbers or fractions in one unit, 0 or more. A
            weight of 0 pays nothing. All may be 0 only if there is nothing to share.
        tie_order: places of the weights, each once: of equal remainders, the place that stands
            first here pays the odd cent. None (the default) is the order of the list.

    Returns: one whole number of cents for each weight, in the same order, adding up to `cents`;
    each is its exact part rounded down or up, up for the largest remainders.

    Raises: ValueError, naming the offender, for a term out of its bounds.

    Source: the largest remainder, see `coop.core.apportion`.

    >>> share_by_weight(1000, [1, 1, 4])
    [167, 167, 666]
    >>> share_by_weight(100, [1, 1, 1], tie_order=[1, 2, 0])
    [33, 34, 33]
    """
    if tie_order is None:
        return largest_remainder(cents, weights)
    if sorted(tie_order) != list(range(len(weights))):
        raise ValueError(f"The order for ties does not name each place of {len(weights)} once.")
    ordered = largest_remainder(cents, [weights[place] for place in tie_order])
    share_of = dict(zip(tie_order, ordered, strict=True))
    return [share_of[place] for place in range(len(weights))]


def trip_shares(costs: Sequence[int | Fraction]) -> list[Fraction]:
    """Share a trip by the airport rule: each stretch is paid equally by those who need it.

    Parameters:
        costs: what the trip would cost for each alone (their own round-trip miles do as well), in
            one unit, 0 or more. The trip that serves them all costs the largest of them.

    Returns: the exact share of each, in the order and unit of `costs`, adding up to the largest.
    Nobody pays more than alone, and no group more than the trip for that group.

    Raises: ValueError, naming the cost, if one is below zero or not exact.

    Source: the Shapley value of the airport game, S. C. Littlechild and G. Owen, "A simple
    expression for the Shapley value in a special case", Management Science 20 (1973) 370-372.

    >>> [str(share) for share in trip_shares([8, 11, 13, 18])]
    ['2', '3', '4', '9']
    """
    _check(costs)
    shares = [Fraction(0)] * len(costs)
    reached, paid = Fraction(0), Fraction(0)
    farther = sorted(range(len(costs)), key=lambda place: costs[place])
    for before, place in enumerate(farther):
        paid += (costs[place] - reached) / (len(costs) - before)
        reached = Fraction(costs[place])
        shares[place] = paid
    return shares


def trip_cents(
    cents: int, costs: Sequence[int | Fraction], tie_order: Sequence[int] | None = None
) -> list[int]:
    """Share what a trip really cost by the airport rule, to the cent.

    Parameters:
        cents: what was paid for the trip, 0 or more.
        costs: as for `trip_shares`, in any unit: miles, minutes, cents. They set the proportions.
        tie_order: as for `share_by_weight`.

    Returns: one whole number of cents for each, in the same order, adding up to `cents`.

    Raises: ValueError, naming the offender, for a term out of its bounds, or if nobody has a cost
    and there is something to pay.

    Source: `trip_shares`, rounded by the largest remainder.

    >>> trip_cents(2000, [8, 11, 13, 18])
    [222, 333, 445, 1000]
    """
    return share_by_weight(cents, trip_shares(costs), tie_order)


def _check(costs: Sequence[int | Fraction]) -> None:
    for number, cost in enumerate(costs, start=1):
        if not isinstance(cost, int | Fraction):
            raise ValueError(f"Cost {number}: {cost!r} is not a whole number or a fraction.")
        if cost < 0:
            raise ValueError(f"Cost {number}: {cost} is below zero.")
