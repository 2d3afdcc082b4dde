"""Farms and what they offer."""

from __future__ import annotations

from django.db.models import Count, Prefetch, Q, QuerySet
from django.http import Http404

from coop.buying.models import Farm, Offer
from coop.people.models import Coop, Member


def farms_in(coop: Coop) -> QuerySet[Farm]:
    """All farms of a co-op, those that still sell first, with `open_offers` counted."""
    return (
        Farm.objects.filter(coop=coop)
        .annotate(open_offers=Count("offers", filter=Q(offers__retired_at__isnull=True)))
        .order_by("retired_at", "name", "id")
    )


def farm_for(member: Member, farm_id: int) -> Farm:
    """A farm to read, with its offers and their prices. Absent and another co-op's: 404."""
    offers = Offer.objects.prefetch_related("prices").order_by("retired_at", "produce", "id")
    farm = (
        Farm.objects.filter(coop=member.coop, pk=farm_id)
        .select_related("account")
        .prefetch_related(Prefetch("offers", offers))
        .first()
    )
    if farm is None:
        raise Http404
    return farm


def offer_for(member: Member, farm_id: int, offer_id: int) -> Offer:
    """An offer to read, with its farm and prices. Absent and another co-op's: 404."""
    offer = (
        Offer.objects.filter(farm__coop=member.coop, farm_id=farm_id, pk=offer_id)
        .select_related("farm__coop")
        .prefetch_related("prices")
        .first()
    )
    if offer is None:
        raise Http404
    return offer


def open_offers_in(coop: Coop) -> QuerySet[Offer]:
    """Offers that a line of a buy can draw on, with their farms and prices."""
    return (
        Offer.objects.filter(
            farm__coop=coop, farm__retired_at__isnull=True, retired_at__isnull=True
        )
        .select_related("farm")
        .prefetch_related("prices")
        .order_by("produce", "farm__name", "container", "id")
    )
