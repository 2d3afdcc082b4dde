"""Things read: one for a member, and all of a co-op."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from coop.equipment.models import Thing
from coop.people.models import Coop, Member


def things_in(coop: Coop, kind: str = "") -> QuerySet[Thing]:
    """The things of a co-op that are not retired, by name, with owner and hours; of one kind if
    said.
    """
    things = coop.things.filter(retired_at=None)
    things = things.filter(kind=kind) if kind else things
    return things.select_related("coop", "owner").prefetch_related("hours").order_by("name", "id")


def thing_for(member: Member, thing_id: int) -> Thing:
    """A thing to read, with owner, hours and parts. Absent and another co-op's are the same 404."""
    thing = (
        Thing.objects.filter(coop=member.coop, pk=thing_id)
        .select_related("coop", "owner")
        .prefetch_related("hours", "parts")
        .first()
    )
    if thing is None:
        raise Http404
    return thing
