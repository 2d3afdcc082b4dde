"""`{% load together %}`: what a use could share with others."""

from __future__ import annotations

from collections.abc import Mapping

from django import template

from coop.kitchen.models import Use
from coop.kitchen.queries.together import Offer

register = template.Library()


@register.filter
def offer_of(offers: Mapping[int, Offer], use: Use) -> Offer | None:
    """`{{ offers|offer_of:use }}`: whom it could share its last load with, or none."""
    return offers.get(use.pk)
