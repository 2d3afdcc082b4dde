"""How far from a rule a share is, as a whole number that grows ever faster: the lowest sum is best.

Each rule here levels something (what one gets, what one lacks, how full one is). To level it is to
make a sum of squares smallest, one square for each ask, so that the next step always goes to
whoever raises the sum least: O. Gross's greedy method of 1956, in T. Ibaraki and N. Katoh,
"Resource Allocation Problems" (MIT Press, 1988) [source from memory]. In whole steps the squares of
shares over claims give Webster's divisor method: A. Sainte-Laguë, "La représentation
proportionnelle et la méthode des moindres carrés", Annales scientifiques de l'École normale
supérieure 27 (1910) 529-542 [source from memory].
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Curve:
    """The cost of a share x: `square` x² + `slope` x + `rise` for each unit past each `knee`."""

    square: int
    slope: int = 0
    bends: tuple[tuple[int, int], ...] = ()

    def cost(self, share: int) -> int:
        """The cost of this share, in base units."""
        total = (self.square * share + self.slope) * share
        for knee, rise in self.bends:
            if share > knee:
                total += rise * (share - knee)
        return total

    def ceiling(self, highest: int) -> int:
        """A number that no difference of two costs up to this share passes."""
        steepest = self.square * highest + abs(self.slope) + sum(abs(r) for _, r in self.bends)
        return 2 * steepest * highest

    def bent(self, knee: int, rise: int) -> "Curve":
        """The same, and `rise` more for each unit past `knee`."""
        return Curve(self.square, self.slope, (*self.bends, (knee, rise)))

    def refined(self, bits: int, favour: int) -> "Curve":
        """The same made finer by so many bits, with `favour` off for each unit, to break ties."""
        bends = tuple((knee, rise << bits) for knee, rise in self.bends)
        return Curve(self.square << bits, (self.slope << bits) - favour, bends)


def last_resort(
    curves: Sequence[Curve], knees: Sequence[int], highest: Sequence[int]
) -> list[Curve]:
    """Bend each curve at its knee so steeply that no gain elsewhere is worth a unit past a knee.

    >>> last_resort([Curve(1), Curve(1)], [2, 9], [3, 3])[0].bends
    ((2, 37),)
    """
    rise = 1 + sum(curve.ceiling(top) for curve, top in zip(curves, highest, strict=True))
    return [curve.bent(knee, rise) for curve, knee in zip(curves, knees, strict=True)]


def untied(curves: Sequence[Curve], line: Sequence[int], highest: Sequence[int]) -> list[Curve]:
    """Break ties: of equal sums the one that gives most to the first in line, then the second.

    `line` has the positions of the asks, first in line first. Shares are read as the digits of one
    number, first in line foremost, which is taken off the finest part of the sum.

    >>> [curve.slope for curve in untied([Curve(1), Curve(1)], [1, 0], [1, 1])]
    [-1, -2]
    """
    digit = max(highest, default=0).bit_length()
    bits = digit * len(curves)
    refined = list(curves)
    for place, position in enumerate(line):
        favour = 1 << digit * (len(curves) - 1 - place)
        refined[position] = curves[position].refined(bits, favour)
    return refined
