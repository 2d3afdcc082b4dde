"""Circles: those whom a buy, a thing or the like concerns, so that somebody can write to them.

An app adds its own in `AppConfig.ready`: 'buy', 'thing', and whatever else households have in
common. The name stands in addresses and before the key in "buy:12".
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Q
from django.http import Http404

from coop.people.models import Member

NOT_THEIRS = "Only who runs it can write to those whom it concerns, and see who has been told."


@dataclass(frozen=True)
class Part:
    """Some of those concerned: what they have in common, and the keys of their households."""

    code: str
    words: str
    households: frozenset[int]


@dataclass(frozen=True)
class Concern:
    """One thing that concerns households, as a member sees it.

    `may_write`: to them, and see who has been told. `parts` reads whom it concerns now, the widest
    first; there may be none. `matters` finds what there is to tell about it, letters apart.
    """

    circle: str
    pk: int
    title: str
    path: str
    may_write: bool
    parts: Callable[[], list[Part]]
    matters: Q

    @property
    def about(self) -> str:
        """The name under which it is kept, as "buy:12"."""
        return f"{self.circle}:{self.pk}"


#: Finds the concern of a key for a member. Absent and another co-op's are the same 404.
Find = Callable[[Member, int], Concern]

_circles: dict[str, Find] = {}


def declare(circle: str, find: Find) -> None:
    """Make a circle known. A name is used once."""
    if _circles.setdefault(circle, find) is not find:
        raise ValueError(f"Two circles have the name {circle}.")


def known() -> frozenset[str]:
    """The names of all circles."""
    return frozenset(_circles)


def concern_for(member: Member, circle: str, pk: int) -> Concern:
    """One concern, for a member. Absent, another co-op's and of no circle are the same 404."""
    find = _circles.get(circle)
    if find is None:
        raise Http404
    return find(member, pk)
