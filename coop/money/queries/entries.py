"""Entries of the books, newest first."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet, Sum
from django.http import Http404

from coop.money.models import Entry, Movement
from coop.people.models import Coop, Member


def entries_in(coop: Coop) -> QuerySet[Entry]:
    """All entries of a co-op with `moved_cents`, what their movements add up to."""
    return (
        Entry.objects.filter(coop=coop)
        .select_related("made_by__household", "reverses", "reversed_by")
        .annotate(moved_cents=Sum("movements__cents"))
        .order_by("-pk")
    )


def entry_for(member: Member, entry_id: int) -> Entry:
    """An entry to read, with its movements. Absent and another co-op's are the same 404."""
    movements = Movement.objects.select_related("source", "target").order_by("pk")
    entry = (
        entries_in(member.coop)
        .prefetch_related(Prefetch("movements", queryset=movements))
        .filter(pk=entry_id)
        .first()
    )
    if entry is None:
        raise Http404
    return entry
