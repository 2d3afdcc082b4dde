"""`{% load lots %}`: lots as pages say them."""

from __future__ import annotations

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from coop.core.figures import join_words
from coop.core.tables import caution, spelled_out
from coop.kitchen.models import Lot
from coop.kitchen.queries import lots

register = template.Library()


@register.filter
def code(lot: Lot) -> str:
    """`{{ lot|code }}`: the code on its label."""
    return lots.code_of_lot(lot)


@register.filter
def spoken_code(lot: Lot) -> str:
    """`{{ lot|spoken_code }}`: the code in groups, for reading it out."""
    return lots.spoken_code(lot).replace(" ", "\N{NO-BREAK SPACE}")


@register.filter
def product_said(lot: Lot) -> str:
    """`{{ lot|product_said }}`: Sweet corn, whole kernel."""
    return lots.product_said(lot)


@register.filter
def jars_said(lot: Lot, count: int) -> str:
    """`{{ lot|jars_said:lot.on_shelf }}`: 7 quarts."""
    return lots.jars_said(lot, count)


@register.filter
def jar_said(lot: Lot) -> str:
    """`{{ lot|jar_said }}`: quart jars, wide mouth."""
    return lots.jar_said(lot)


@register.filter
def feet(altitude_ft: int) -> str:
    """`{{ load.altitude_ft|feet }}`: 4,680 ft."""
    return f"{altitude_ft:,} ft"


@register.simple_tag
def caution_said(name: str) -> SafeString:
    """`{% caution_said "spoilage_1" %}`: one of the published cautions with its sources."""
    found = caution(name)
    sources = join_words(spelled_out(key) for key in found.source)
    return format_html('{} <span class="small">{}.</span>', found.gist, sources)
