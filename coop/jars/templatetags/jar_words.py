"""`{% load jar_words %}`: kinds of jar in words, the age of a count, a jar that is so full."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.utils import timezone

from coop.jars import loan_words
from coop.jars.kinds import KINDS, Mouth, size_and_mouth
from coop.jars.queries.stock import Age, Held, Stock, age_of

register = template.Library()

TONES = {Age.FRESH: "", Age.OLD: "soon", Age.VERY_OLD: "warn"}
#: The glass of the picture, in its own units: where the inside begins, and how deep it is.
GLASS_TOP, GLASS_DEPTH = 16, 46


@register.filter
def kind_words(kind: str) -> str:
    """`{{ kind|kind_words }}`: Quart, wide mouth."""
    words = KINDS[kind]
    return words[:1].upper() + words[1:]


@register.filter
def kind_short(kind: str) -> str:
    """`{{ kind|kind_short }}`: Quart, wide; for the head of a column."""
    size, mouth = size_and_mouth(kind)
    return f"{size.label[:1].upper()}{size.label[1:]}, {mouth.value}"


@register.filter
def jars_said(kind: str, count: int) -> str:
    """`{{ kind|jars_said:count }}`: 24 quarts, wide mouth."""
    return loan_words.jars_said(kind, count)


@register.filter
def mouth_words(mouth: str) -> str:
    """`{{ mouth|mouth_words }}`: regular mouth."""
    return str(Mouth(mouth).label)


@register.simple_tag
def days_ago(moment: datetime, coop: Any) -> str:
    """`{% days_ago count.at coop %}`: today, yesterday, 12 days ago, by the co-op's calendar."""
    zone = ZoneInfo(coop.time_zone)
    days = (timezone.now().astimezone(zone).date() - moment.astimezone(zone).date()).days
    return {0: "today", 1: "yesterday"}.get(days) or f"{days:,} days ago"


@register.inclusion_tag("jars/_age.html")
def count_age(stock: Stock, coop: Any) -> dict[str, object]:
    """`{% count_age stock coop %}`: a chip, counted 12 days ago; it warns of an old count."""
    if stock.counted_at is None:
        return {"text": "never counted", "tone": "soon"}
    tone = TONES[age_of(stock, timezone.now())]
    return {"text": f"counted {days_ago(stock.counted_at, coop)}", "tone": tone}


@register.inclusion_tag("jars/_jar.html")
def jar_picture(held: Held) -> dict[str, object]:
    """`{% jar_picture held %}`: a jar, as full as the full ones are of all."""
    jars = held.full + held.empty
    depth = GLASS_DEPTH * held.full // jars if jars else 0
    return {"depth": depth, "top": GLASS_TOP + GLASS_DEPTH - depth}
