"""Whose turn it is when several households want one thing: who had it least this season."""

from collections.abc import Hashable, Mapping, Sequence
from datetime import datetime
from typing import Generic, NamedTuple, TypeVar

Household = TypeVar("Household", bound=Hashable)


class Turn(NamedTuple, Generic[Household]):
    """A claim with what puts it in its place.

    Parameters:
        key: of the claim.
        household: who claims.
        asked_at: when.
        minutes_had: how long the household had such things this season.
    """

    key: int
    household: Household
    asked_at: datetime
    minutes_had: int


def fair_order(
    claims: Sequence[tuple[int, Household, datetime]], had: Mapping[Household, int]
) -> list[Turn[Household]]:
    """Claims in the order in which they get their turn.

    Parameters:
        claims: (key, household, asked at), in any order.
        had: minutes that each household had this season; one that is missing had none.

    Returns: those who had least come first; of equals, who asked first; then the smaller key.

    >>> at = datetime.fromisoformat("2026-08-10T09:00+00:00")
    >>> turns = fair_order([(1, "Reyes", at), (2, "Okafor", at)], {"Reyes": 90})
    >>> [(turn.household, turn.minutes_had) for turn in turns]
    [('Okafor', 0), ('Reyes', 90)]
    """
    turns = [Turn(key, household, at, had.get(household, 0)) for key, household, at in claims]
    return sorted(turns, key=lambda turn: (turn.minutes_had, turn.asked_at, turn.key))
