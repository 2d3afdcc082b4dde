"""What each rule awards exactly, in fractions, before anything is rounded to steps."""

from collections.abc import Sequence
from fractions import Fraction

from coop.core.division.rules import METHODS, Claim, Rule


def awards(amount: Fraction, claims: Sequence[Fraction], rule: Rule) -> list[Fraction]:
    """What `rule` awards to each claim on `amount`, exactly.

    Parameters:
        amount: what there is, in any unit, 0 or more, a whole number or a fraction. Of an amount
            above the sum of the claims, what passes it is nobody's: every claim is met in full.
        claims: one for each claimant, in the same unit, 0 or more.
        rule: PROPORTIONAL, EVEN (constrained equal awards), EVEN_LOSS (constrained equal losses),
            CONCEDE (the rule that agrees with the contested garment), or SEASON, which is
            proportional here: with no past to level, one fill for all is the same part for all.

    Returns: the awards in the order of the claims. They add up to `amount`, or to the claims if
    these are less; none is below 0 or above its claim; equal claims get equal awards.

    Raises: ValueError, naming the offender, for a negative or inexact amount or claim.

    Source: W. Thomson, "How to Divide When There Isn't Enough" (Cambridge University Press, 2019);
    CONCEDE: R. J. Aumann and M. Maschler, Journal of Economic Theory 36 (1985) 195-213.

    >>> [str(award) for award in awards(200, [100, 200, 300], Rule.CONCEDE)]
    ['50', '75', '75']
    """
    exact = _exact("The amount", amount)
    wanted = [_exact(f"Claim {number}:", claim) for number, claim in enumerate(claims, start=1)]
    covered = min(exact, sum(wanted, Fraction(0)))
    return METHODS[rule].award(covered, [Claim(claim) for claim in wanted])


def _exact(name: str, value: Fraction) -> Fraction:
    if not isinstance(value, int | Fraction):
        raise ValueError(f"{name} {value!r} is not a whole number or a fraction.")
    if value < 0:
        raise ValueError(f"{name} {value} is below zero.")
    return Fraction(value)
