"""What lots have to say on This week: count out, try the seals, say what became of the rest."""

from __future__ import annotations

from datetime import datetime

from coop.kitchen.queries.seals import Step, steps_of
from coop.people import week
from coop.people.models import Member


def register() -> None:
    """Put the part of lots into This week; called once, when the app is ready."""
    week.parts.append(part)


def part(member: Member, now: datetime) -> week.Week:
    """What the lots of the household wait for. A fixed number of queries."""
    return week.Week(due=[_due(step) for step in steps_of(member, now)])


def _due(step: Step) -> week.Due:
    """Jars that nobody may eat are no chore like the others, and never hold the main button."""
    if step.dangers:
        return week.Due("kitchen/week/bad_lot.html", step, place=week.Due.LAST)
    return week.Due("kitchen/week/lot.html", step, _hour(step))


def _hour(step: Step) -> datetime | None:
    """Seals have their hour until it is there; everything else is for now."""
    return step.times.from_ if step.what == "seals" and step.is_early else None
