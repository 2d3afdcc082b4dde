"""Kitchens that the co-op cooks in."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from coop.kitchen.models import Kitchen
from coop.people.models import Coop, Member


def kitchens_in(coop: Coop) -> QuerySet[Kitchen]:
    """The kitchens that are in use."""
    return Kitchen.objects.filter(coop=coop, retired_at__isnull=True)


def kitchen_for(member: Member, kitchen_id: int) -> Kitchen:
    """A kitchen to read, in use or not. Absent and another co-op's: 404."""
    kitchen = Kitchen.objects.filter(coop=member.coop, pk=kitchen_id).first()
    if kitchen is None:
        raise Http404
    return kitchen
