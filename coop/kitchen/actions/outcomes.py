"""What was really put up of a use, written down after the work and corrected when it was wrong."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction

from coop.core.figures import counted, quantity
from coop.core.preserving import jar_words
from coop.kitchen.actions.plans import WEIGHT, open_plan
from coop.kitchen.errors import Refused
from coop.kitchen.models import Outcome, Use, Way
from coop.kitchen.queries.plans import use_for
from coop.people.changes import record_change
from coop.people.models import Member


@dataclass(frozen=True)
class OutcomeTerms:
    """Tenths of a pound that went in, full jars (or freezer containers) that came of it.

    dried_tenths: of what is dried, tenths of a pound afterwards, where it was weighed.
    """

    tenths: int
    on: date
    jars: int = 0
    dried_tenths: int | None = None
    note: str = ""


def write_outcome(use_id: int, terms: OutcomeTerms, *, today: date, by: Member) -> Outcome:
    """Write down what was put up of a use, or correct what was written.

    `today` is the day by the co-op's clocks: what is put up tomorrow is not put up.
    """
    with transaction.atomic():
        open_plan(use_for(by, use_id).plan_id, by=by)
        use = use_for(by, use_id)
        _check(use, terms, today)
        old = Outcome.objects.filter(use=use).first()
        before = _told(old) if old else {}
        outcome, _ = Outcome.objects.update_or_create(
            use=use, defaults={**vars(terms), "by": old.by if old else by}
        )
        if before != _told(outcome):
            words = f"{'Corrected' if old else 'Put up'}: {_said(use, outcome)}"
            after = _told(outcome)
            record_change(use.plan, words, coop=by.coop, by=by, before=before, after=after)
        return outcome


def _check(use: Use, terms: OutcomeTerms, today: date) -> None:
    if terms.tenths < 1:
        raise Refused("Say how many pounds went in.", field="pounds")
    if terms.on > today:
        raise Refused("That day is still to come.", field="on")
    if use.way != Way.DRY and terms.dried_tenths is not None:
        raise Refused("Only what is dried is weighed again.", field="dried")


def _told(outcome: Outcome) -> dict[str, Any]:
    return {
        "tenths": outcome.tenths,
        "jars": outcome.jars,
        "dried_tenths": outcome.dried_tenths,
        "on": outcome.on.isoformat(),
    }


def _said(use: Use, outcome: Outcome) -> str:
    pounds = quantity(outcome.tenths, WEIGHT)
    if use.way == Way.DRY:
        if outcome.dried_tenths is None:
            return f"{pounds} dried"
        return f"{quantity(outcome.dried_tenths, WEIGHT)} dried, of {pounds}"
    return f"{counted(outcome.jars, jar_words(use.jar))} of {pounds}"
