"""Letters read: one for a member, with what it was about."""

from __future__ import annotations

from django.http import Http404

from coop.notices.circles import Concern, concern_for
from coop.notices.models import Writing
from coop.notices.rights import TO_OTHERS, can_read
from coop.people.models import Member
from coop.people.rights import require


def writing_for(member: Member, writing_id: int) -> Writing:
    """A letter to read. Absent and another co-op's are the same 404; to others: NotAllowed."""
    writing = (
        Writing.objects.filter(coop=member.coop_id, pk=writing_id)
        .select_related("coop", "by__household")
        .first()
    )
    if writing is None:
        raise Http404
    require(can_read(member, writing), TO_OTHERS)
    return writing


def concern_of(member: Member, writing: Writing) -> Concern | None:
    """What a letter was about; None where that is gone."""
    circle, _, pk = writing.about.partition(":")
    try:
        return concern_for(member, circle, int(pk))
    except Http404:
        return None
