"""What is booked for a plan or a buy: seen there, so that nobody books the same twice."""

from __future__ import annotations

from datetime import datetime

from coop.equipment.models import Booking
from coop.equipment.queries.mine import coming
from coop.people.models import Coop

#: So much is shown beside a plan or a buy; the bookings page has the rest. Judgement, no source.
MOST_SHOWN = 20


def coming_from(coop: Coop, about: str, now: datetime) -> list[Booking]:
    """The bookings that come from something ("plan:7", "buy:3") and are not over, soonest first.

    Of every household: a plan or a buy is everybody's to read. One query.
    """
    return list(coming(coop, None, now).filter(about=about)[:MOST_SHOWN])
