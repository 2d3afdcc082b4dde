"""Needs and spares by number: household and kind are places in sorted lists, and all is checked."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

Pair = tuple[int, int]  # lender, borrower


@dataclass(frozen=True)
class OfKind:
    """What concerns one kind of jar.

    Parameters:
        needs, spares: jars by household, each above 0.
        minutes: for each lender and borrower of this kind who know the way to one another.
    """

    needs: Mapping[int, int]
    spares: Mapping[int, int]
    minutes: Mapping[Pair, int]

    def most_over(self, pair: Pair) -> int:
        """The most jars that can go from one household to another."""
        return min(self.spares[pair[0]], self.needs[pair[1]])


@dataclass(frozen=True)
class Problem:
    """All kinds, and how many jars of each can be lent at the most."""

    kinds: tuple[OfKind, ...]
    most: tuple[int, ...]

    def lenders(self) -> list[int]:
        """Every household that can lend something to somebody, in order."""
        return sorted({lender for kind in self.kinds for lender, _ in kind.minutes})


def of_kind(
    needs: Mapping[int, int], spares: Mapping[int, int], minutes: Mapping[Pair, int]
) -> OfKind:
    """One kind, with only the ways that are in `minutes` and no household lending to itself."""
    ways = {
        (lender, borrower): minutes[lender, borrower]
        for lender in sorted(spares)
        for borrower in sorted(needs)
        if lender != borrower and (lender, borrower) in minutes
    }
    return OfKind(needs, spares, ways)


def only(lenders: Collection[int], kind: OfKind) -> OfKind:
    """The same kind, as if nobody else had anything to lend."""
    return OfKind(
        kind.needs,
        {lender: spare for lender, spare in kind.spares.items() if lender in lenders},
        {pair: minutes for pair, minutes in kind.minutes.items() if pair[0] in lenders},
    )
