"""Invitations that nobody has used or withdrawn."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from coop.people.models import Coop, Household, Invitation, Member


def open_invitations_in(coop: Coop) -> QuerySet[Invitation]:
    """Those of a co-op, the latest first; the expired are among them, to be sent again."""
    return coop.invitations.filter(
        accepted_at__isnull=True, withdrawn_at__isnull=True
    ).select_related("household", "invited_by")


def invitations_of(member: Member) -> QuerySet[Invitation]:
    """The open ones that a member looks after: a coordinator all of them, others their own."""
    invitations = open_invitations_in(member.coop)
    return invitations if member.coordinator else invitations.filter(invited_by=member)


def invitations_into(household: Household) -> QuerySet[Invitation]:
    """The open ones into a household."""
    return open_invitations_in(household.coop).filter(household=household)


def invitation_for(member: Member, invitation_id: int) -> Invitation:
    """An invitation of the member's co-op. Absent and another co-op's are the same 404."""
    invitation = (
        member.coop.invitations.select_related("household", "invited_by", "coop")
        .filter(pk=invitation_id)
        .first()
    )
    if invitation is None:
        raise Http404
    return invitation
