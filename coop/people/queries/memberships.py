"""Which co-ops somebody belongs to."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from coop.people.models import Coop, Member, User


def memberships_of(user: User) -> QuerySet[Member]:
    """The memberships that somebody has now, by the co-op's name."""
    return (
        Member.objects.filter(user=user, left_at__isnull=True)
        .select_related("coop", "household")
        .order_by("coop__name", "coop_id")
    )


def coops_of(user: User | AnonymousUser) -> QuerySet[Coop]:
    """The co-ops that somebody is a member of now, by name; none for who is signed out."""
    return Coop.objects.filter(members__user=user.pk, members__left_at__isnull=True).order_by(
        "name", "id"
    )
