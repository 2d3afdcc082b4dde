"""`{% load books %}`: what the pages of money and costs share."""

from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from coop.core.figures import minor_digits
from coop.money.models import Entry
from coop.money.sides import Sides, sides_of

register = template.Library()


@register.simple_tag
def once_field() -> SafeString:
    """`{% once_field %}`: a number of its own for a form, so that sent twice it counts once."""
    return format_html('<input type="hidden" name="once" value="{}">', uuid4())


@register.filter
def without_sign(cents: int) -> int:
    """`{{ balance.cents|without_sign|money:coop }}`: words say which way it runs."""
    return abs(cents)


@register.filter
def typed(cents: int, coop: Any) -> str:
    """`{{ cents|typed:coop }}`: 38.40, as a form field takes it."""
    return f"{Decimal(cents).scaleb(-minor_digits(coop.currency)):f}"


@register.simple_tag
def about_url(entry: Any, coop: Any) -> str:
    """`{% about_url entry coop as address %}`: the page and place of what an entry is about."""
    return f"/{coop.slug}/{entry.reference}#entry-{entry.pk}" if entry.reference else ""


@register.filter
def sides(entry: Entry) -> Sides:
    """`{% with sides=entry|sides %}`: what its giving and its receiving side are called."""
    return sides_of(entry)
