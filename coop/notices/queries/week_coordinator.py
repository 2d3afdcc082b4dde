"""What mail has to say to coordinators on This week: whom it does not reach."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max

from coop.notices.queries.refused import refused_in
from coop.notices.rights import can_see_told
from coop.people import week
from coop.people.models import Member


@dataclass(frozen=True)
class Unreached:
    """How many people mail did not reach and nobody has taken note of, and since when."""

    people: int
    last_at: datetime


def register() -> None:
    """Put this part into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """For a coordinator who could not be told. One query for them, none for others."""
    if not can_see_told(member):
        return week.Week()
    refused = refused_in(member.coop).aggregate(
        people=Count("member", distinct=True), last_at=Max("refused_at")
    )
    if not refused["people"]:
        return week.Week()
    due = week.Due("notices/week/refused.html", Unreached(**refused))
    return week.Week(waiting=[due])
