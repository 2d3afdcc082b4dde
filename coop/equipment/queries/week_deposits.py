"""Deposits that wait for somebody's yes, on This week of whoever may give it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from coop.equipment import rights
from coop.equipment.models import Booking
from coop.equipment.queries.costs import deposits_waiting
from coop.people import week
from coop.people.models import Member

TEMPLATE = "equipment/week/deposit.html"


#: So many have a line each; the last of them leads to the others.
MOST_LINES = 5


@dataclass(frozen=True)
class Waiting:
    """A deposit that waits, and those that have no line of their own after it."""

    booking: Booking
    others: list[Booking]


def register() -> None:
    """Put deposits into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """The deposits that a member may give back: of its own things, or in its role. One query."""
    del now
    waiting = [
        each for each in deposits_waiting(member.coop) if rights.can_settle_deposit(member, each)
    ]
    own = [each for each in waiting if each.thing.owner_id == member.household_id]
    return week.Week(due=_said(own), waiting=_said([each for each in waiting if each not in own]))


def _said(bookings: Sequence[Booking]) -> list[week.Due]:
    """A line each, what waits longest first; of more than a screen takes, the last line has all."""
    shown, others = bookings[:MOST_LINES], list(bookings[MOST_LINES:])
    last = len(shown) - 1
    return [
        week.Due(TEMPLATE, Waiting(booking, others if place == last else []))
        for place, booking in enumerate(shown)
    ]
