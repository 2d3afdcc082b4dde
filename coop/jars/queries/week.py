"""What jars have to say on This week: loans to answer, to hand over, due back, and an old count."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from coop.jars.models import Count
from coop.jars.queries.loans import Side, Stage, of_household, open_loans, sides_of
from coop.jars.queries.stock import VERY_OLD_AFTER
from coop.people import week
from coop.people.days import today_in
from coop.people.models import Member

SOON = timedelta(days=7)


def register() -> None:
    """Put jars' part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """What the household's loans want of it, and whether its count is old. Five queries at most."""
    household, today = member.household, today_in(member.coop, now)
    loans = open_loans(member.coop).filter(of_household(household))
    due = [item for side in sides_of(loans, household, today) for item in _due(side)]
    return week.Week(due=due, tiles=list(_old_count(member, now)))


def _due(side: Side) -> Iterator[week.Due]:
    """What one loan wants of the household now; nothing, or one thing for each way of its jars."""
    if side.is_to_answer:
        yield week.Due("jars/week/answer.html", side)
    if side.standing.stage in {Stage.AGREED, Stage.OUT} and side.standing.to_hand_over:
        yield week.Due("jars/week/hand_over.html", side)
    if side.standing.out and side.loan.due_on <= side.today + SOON:
        noon = datetime.combine(side.loan.due_on, time(12), ZoneInfo(side.loan.coop.time_zone))
        yield week.Due("jars/week/back.html", side, noon)


def _old_count(member: Member, now: datetime) -> Iterator[week.Tile]:
    """That others cannot rely on the count, once the co-op has lent jars at all."""
    counted = Count.objects.filter(household=member.household_id).values_list("at", flat=True)
    at = counted.first()
    is_old = at is None or now - at > VERY_OLD_AFTER
    if is_old and member.coop.jar_loans.exists():
        yield week.Tile("jars/week/count.html", {"counted_at": at}, place=6)
