"""Warnings: who would be told of which jars, and who has read what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from coop.buying.models import Supply
from coop.core.tables import CautionRow, caution
from coop.kitchen.models import JarWarning, Load, Lot, WarningTo
from coop.kitchen.queries.lots import jars_said, product_said, spoken_code
from coop.kitchen.queries.trace import jars_of, lots_concerned, where
from coop.people.models import Coop, Household, Member

#: What to do with suspect jars.
WHAT_TO_DO = ("spoilage_1", "low_acid_2", "seals_3")
LONGEST_JARS = WarningTo._meta.get_field("jars").max_length or 200
LATEST = 10


@dataclass(frozen=True)
class ToTell:
    """A household that has, had or was given some of the jars, and which, as a sentence says it."""

    household: Household
    parts: Sequence[str]

    @property
    def has_left(self) -> bool:
        """Whether it is in the co-op no more, and so reads nothing here."""
        return self.household.left_at is not None

    @property
    def jars(self) -> str:
        """Its jars, as many as there is room for: the page of the trace has them all."""
        for shown in range(len(self.parts), 0, -1):
            rest = len(self.parts) - shown
            more = [f"{rest} more"] if rest else []
            said = "; ".join([*self.parts[:shown], *more])
            if len(said) <= LONGEST_JARS:
                return said
        return f"{len(self.parts)} lots"


def to_tell(coop: Coop, about: Lot | Load | Supply) -> list[ToTell]:
    """Who has, had or was given jars of it, by name; a fixed number of queries."""
    parts: defaultdict[Household, list[str]] = defaultdict(list)
    for place in where(lots_concerned(about), coop).values():
        lot = place.lot
        parts[lot.household].append(f"{_of(lot, jars_of(place))}")
        for household, count in place.given:
            said = _of(lot, jars_said(lot, count))
            parts[household].append(f"{said}, given by {lot.household}")
    return sorted(
        (ToTell(household, said) for household, said in parts.items()),
        key=lambda each: (each.household.name.lower(), each.household.pk),
    )


def _of(lot: Lot, jars: str) -> str:
    return f"lot {spoken_code(lot)}, {jars} of {product_said(lot).lower()}"


def warnings_of(coop: Coop) -> QuerySet[JarWarning]:
    """The warnings of a co-op, newest first, with how many were told and how many have read it."""
    return (
        JarWarning.objects.filter(coop=coop)
        .select_related("by", "lot", "load", "supply__farm", "supply__line")
        .annotate(
            told_count=Count("told"),
            read_count=Count("told", filter=Q(told__read_at__isnull=False)),
        )
    )


def latest_warnings(coop: Coop) -> QuerySet[JarWarning]:
    """The last few."""
    return warnings_of(coop)[:LATEST]


def warning_for(member: Member, warning_id: int) -> JarWarning:
    """A warning to read. Absent and another co-op's are the same 404."""
    warning = warnings_of(member.coop).filter(pk=warning_id).first()
    if warning is None:
        raise Http404
    return warning


def told_of(warning: JarWarning) -> QuerySet[WarningTo]:
    """Who was told, with who of them has read it and when."""
    return warning.told.select_related("household", "read_by")


def what_to_do() -> list[CautionRow]:
    """The published cautions about suspect jars."""
    return [caution(name) for name in WHAT_TO_DO]
