"""`{% load planning %}`: how a plan writes what is measured with spoons, cups and scales."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from django import template

from coop.core.figures import counted, mixed_number, plural, quantity
from coop.core.preserving import Amount, produce_in_sentence

register = template.Library()
QUARTERS = 4

register.filter("food", produce_in_sentence)


@register.filter
def measured(amount: Amount) -> str:
    """`{{ figures.acid|measured }}`: 3 3/4 teaspoons."""
    unit = amount.unit if amount.amount <= 1 else plural(amount.amount, amount.unit)
    return f"{mixed_number(amount.amount)} {unit}"


@register.filter
def cups(amount: Fraction) -> str:
    """`{{ figures.syrup.sugar_cups|cups }}`: 4 3/4 cups, up to the next quarter."""
    quarters = Fraction(ceil(amount * QUARTERS), QUARTERS)
    return f"{mixed_number(quarters)} {'cup' if quarters <= 1 else 'cups'}"


@register.filter
def pounds(weight: Fraction) -> str:
    """`{{ freeze.pounds|pounds }}`: 17.5 lb."""
    return quantity(weight * 10, "weight")


@register.filter
def tenths(amount: int) -> str:
    """`{{ plan.tenths|tenths }}`: 70 lb, of tenths of a pound."""
    return quantity(amount, "weight")


@register.filter
def decimal(number: Fraction) -> str:
    """`{{ freeze.litres|decimal }}`: 7.1, to one decimal."""
    text = f"{float(number):,.1f}"
    return text.removesuffix(".0")


@register.filter
def feet(altitude_ft: int) -> str:
    """`{{ sheet.altitude_ft|feet }}`: 4,680 ft."""
    return f"{altitude_ft:,} ft"


@register.filter
def full_of(places: list[bool]) -> str:
    """`{{ load|full_of }}`: 1 of 7 jars, of the places of a load that are full or empty."""
    return f"{sum(places)} of {counted(len(places), 'jar')}"
