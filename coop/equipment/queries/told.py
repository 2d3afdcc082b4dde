"""What households were told, read."""

from __future__ import annotations

from django.http import Http404

from coop.equipment.models import Told
from coop.people.models import Member


def told_for(member: Member, told_id: int) -> Told:
    """One thing told, to whomever. Absent and another co-op's are the same 404."""
    told = Told.objects.filter(coop=member.coop, pk=told_id).first()
    if told is None:
        raise Http404
    return told
