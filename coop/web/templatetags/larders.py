"""`{% load larders %}`: figures, moments and small pictures. The sums are in coop/web's modules."""

from collections.abc import Iterable
from datetime import date, datetime
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.forms import BoundField
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from coop.core import moments
from coop.web import badges, drawings, figures

register = template.Library()

STAGES = {
    "asking": "Asking",
    "called_in": "Called in",
    "collected": "Collected",
    "divided": "Divided",
    "squared": "Squared up",
}


# ---- figures --------------------------------------------------------------------------------
@register.filter
def money(amount_cents: int, coop: Any) -> str:
    """`{{ balance_cents|money:coop }}`: $38.40, in the co-op's currency."""
    return figures.money(amount_cents, coop.currency)


@register.simple_tag
def quantity(steps: int | Fraction, measure: str, piece: str = figures.PIECE) -> str:
    """`{% quantity share.amount line.measure "ear" %}`: 57.7 lb, 12 ears."""
    return figures.quantity(steps, measure, piece=piece)


@register.simple_tag
def amount(steps: int | Fraction, measure: str) -> str:
    """`{% amount share.amount line.measure %}`: the number alone; its unit stands elsewhere."""
    return figures.amount(steps, measure)


@register.simple_tag
def unit(measure: str, piece: str = figures.PIECE) -> str:
    """`{% unit line.measure "ear" %}`: lb or ears, for the head of a column or after a field."""
    return figures.unit_word(measure, piece=piece, steps=2)


@register.filter
def counted(count: int, noun: str) -> str:
    """`{{ plan.bushels|counted:"bushel" }}`: 6 bushels, 1 bushel."""
    return figures.counted(count, noun)


@register.simple_tag
def unit_price(amount_cents: int, steps: int, measure: str, coop: Any) -> str:
    """`{% unit_price cost_cents amount line.measure coop %}`: $0.46 a lb."""
    return figures.unit_price(amount_cents, steps, measure=measure, currency=coop.currency)


@register.simple_tag
def percent(part: int | Fraction, whole: int | Fraction) -> str:
    """`{% percent came wanted %}`: 87%."""
    return figures.percent(part, whole)


@register.filter
def join_words(words: Iterable[object]) -> str:
    """`{{ names|join_words }}`: Adeyemi, Brandt and Castell."""
    return figures.join_words(words)


# ---- moments --------------------------------------------------------------------------------
def _zone(coop: Any) -> ZoneInfo:
    return ZoneInfo(str(coop.time_zone))


def _today(coop: Any) -> date:
    return timezone.now().astimezone(_zone(coop)).date()


def _local_day(value: date, coop: Any) -> date:
    return moments.local(value, _zone(coop)).date() if isinstance(value, datetime) else value


@register.filter
def local_day(value: date, coop: Any) -> str:
    """`{{ buy.closes_at|local_day:coop }}`: Tue 11 Aug."""
    return moments.day(_local_day(value, coop), today=_today(coop))


@register.filter
def local_clock(value: datetime, coop: Any) -> str:
    """`{{ buy.closes_at|local_clock:coop }}`: 20:00."""
    return moments.clock(moments.local(value, _zone(coop)))


@register.filter
def said_day(value: date, coop: Any) -> str:
    """`{{ pickup.day|said_day:coop }}`: today, tomorrow, Fri 14 Aug."""
    return moments.day_said(_local_day(value, coop), today=_today(coop))


@register.simple_tag
def when(value: datetime, coop: Any) -> SafeString:
    """`{% when buy.closes_at coop %}`: tonight at 20:00, in a <time>."""
    said = moments.when(value, _zone(coop), now=timezone.now())
    return format_html('<time datetime="{}">{}</time>', value.isoformat(), said)


@register.simple_tag
def span(start: datetime, end: datetime, coop: Any) -> str:
    """`{% span pickup.starts_at pickup.ends_at coop %}`: 16:00 to 18:30."""
    return moments.span(start, end, _zone(coop))


@register.simple_tag
def printed_on(coop: Any) -> str:
    """`{% printed_on coop %}`: the day and the hour, for the head of a printed sheet."""
    now = moments.local(timezone.now(), _zone(coop))
    return f"printed {moments.day(now.date())} {now.year}, {moments.clock(now)}"


@register.inclusion_tag("components/date_tile.html")
def date_tile(value: date, coop: Any) -> dict[str, object]:
    """`{% date_tile buy.closes_at coop %}`: a leaf of the calendar."""
    return {"day": _local_day(value, coop)}


# ---- small pictures -------------------------------------------------------------------------
@register.simple_tag
def icon(name: str, label: str = "") -> SafeString:
    """`{% icon "basket" %}`: one of ours; without a label it is only a picture of what is said."""
    aria = format_html('role="img" aria-label="{}"', label) if label else 'aria-hidden="true"'
    return format_html(
        '<svg class="icon" {} focusable="false"><use href="{}#{}"></use></svg>',
        SafeString(aria),
        static("web/icons.svg"),
        name,
    )


@register.inclusion_tag("components/badge.html")
def household_badge(household: Any, with_name: str = "") -> dict[str, object]:
    """`{% household_badge household "name" %}`: letter and colour; with "name", the name too."""
    return {
        "name": household.name,
        "mark": badges.initial(household.name),
        "colour": badges.colour(household.pk or 1),
        "with_name": bool(with_name),
    }


@register.simple_tag
def household_mark(household: Any) -> dict[str, object]:
    """`{% household_mark household as mark %}`: letter and colour of its badge, for a drawing."""
    return {"letter": badges.initial(household.name), "colour": badges.colour(household.pk or 1)}


@register.inclusion_tag("components/bar.html")
def share_bar(got: int | Fraction, wanted: int | Fraction, label: str = "") -> dict[str, object]:
    """`{% share_bar share.amount ask.wanted %}`: without a label, the number stands beside it."""
    return {"bar": drawings.bar(got, wanted), "label": label}


@register.inclusion_tag("components/containers.html")
def containers(filled: int | Fraction, total: int, kind: str) -> dict[str, object]:
    """`{% containers 6 7 "bushel" %}`: a row of baskets or crates, filled from the left."""
    return {
        "drawn": drawings.containers(filled, total, kind=kind),
        "label": f"{figures.amount(filled, 'count')} of {figures.counted(total, kind)}",
    }


@register.inclusion_tag("components/stage_rail.html")
def stage_rail(stage: str) -> dict[str, object]:
    """`{% stage_rail buy.stage %}`: how far a buy has come, or that it was called off."""
    names = list(STAGES)
    reached = names.index(stage) if stage in STAGES else -1
    return {
        "called_off": stage not in STAGES,
        "stages": [
            {
                "word": word,
                "state": "done" if place < reached else "now" if place == reached else "",
            }
            for place, word in enumerate(STAGES.values())
        ],
    }


# ---- fields ---------------------------------------------------------------------------------
@register.simple_tag
def field_input(field: BoundField, unit_word: str = "", step: str = "") -> SafeString:
    """The input of a field, tied by id to its unit, its help and its error."""
    parts = [("unit", unit_word), ("helptext", field.help_text), ("error", field.errors)]
    tied = " ".join(f"{field.auto_id}_{suffix}" for suffix, there in parts if there)
    attrs: dict[str, str | bool] = (
        {"aria-describedby": tied} if tied and not field.use_fieldset else {}
    )
    if step:
        attrs["step"] = step
    return field.as_widget(attrs=attrs)


@register.filter
def kind_of_field(field: BoundField) -> str:
    """Which way components/field.html draws it: input, check or choices."""
    if field.use_fieldset:
        return "choices"
    return "check" if getattr(field.field.widget, "input_type", "") == "checkbox" else "input"
