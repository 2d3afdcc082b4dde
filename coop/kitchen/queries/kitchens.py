"""Kitchens that food is cooked in: the co-op's, and households' own."""

from __future__ import annotations

from django.db.models import Q, QuerySet
from django.http import Http404

from coop.kitchen.models import Kitchen
from coop.people.models import Coop, Member


def kitchens_in(coop: Coop) -> QuerySet[Kitchen]:
    """The kitchens that are in use, households' own among them."""
    kitchens = Kitchen.objects.filter(coop=coop, retired_at__isnull=True)
    return kitchens.select_related("household")


def kitchens_to_offer(
    coop: Coop, household_id: int | None, keep: int | None = None
) -> QuerySet[Kitchen]:
    """Where a household may say that it cooks: the co-op's kitchens and its own ones in use.

    `keep` is the id of the kitchen that stands there already; it stays, whoever's it is.
    """
    whose = Q(household__isnull=True) | Q(household=household_id)
    return Kitchen.objects.filter(Q(retired_at__isnull=True) & whose | Q(pk=keep), coop=coop)


def own_kitchen(household_id: int | None) -> Kitchen | None:
    """The household's own kitchen, the first by its name where there are several."""
    return Kitchen.objects.filter(
        household__isnull=False, household=household_id, retired_at__isnull=True
    ).first()


def kitchen_for(member: Member, kitchen_id: int) -> Kitchen:
    """A kitchen to read, in use or not. Absent and another co-op's: 404."""
    kitchen = (
        Kitchen.objects.filter(coop=member.coop, pk=kitchen_id).select_related("household").first()
    )
    if kitchen is None:
        raise Http404
    return kitchen
