"""What is told at present of causes of one sort."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import QuerySet

from coop.notices.models import Matter
from coop.people.models import Coop


def standing(coop: Coop, cause: str) -> QuerySet[Matter]:
    """The matters of a co-op that stand, about causes of a sort, as "booking"."""
    return Matter.objects.filter(coop=coop, about__startswith=f"{cause}:", dropped_at=None)


def causes_of(matters: QuerySet[Matter]) -> set[int]:
    """The keys of the causes of matters. One query."""
    abouts: Iterable[str] = matters.values_list("about", flat=True)
    return {int(about.partition(":")[2]) for about in abouts}
