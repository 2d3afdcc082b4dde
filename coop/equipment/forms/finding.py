"""What is looked for, and what one stands by for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from coop.equipment.actions.standby import Want
from coop.equipment.forms.lengths import DAY, HOUR, LengthField
from coop.equipment.kinds import Gauge, ThingKind
from coop.equipment.models import Thing
from coop.equipment.queries.find_page import USUAL_MINUTES, WEEK
from coop.equipment.queries.finding import Hours, Search
from coop.equipment.queries.free import HORIZON
from coop.equipment.words import kind_said
from coop.people.models import Coop
from coop.web.fields import LOCAL_FORMAT, ExactField, LocalDateTimeField

LENGTHS = (
    *(30, 45, HOUR, 90, 2 * HOUR, 150, 3 * HOUR, 4 * HOUR, 5 * HOUR, 6 * HOUR, 8 * HOUR),
    *(10 * HOUR, 12 * HOUR, 16 * HOUR, 24 * HOUR, 28 * HOUR, 36 * HOUR, 40 * HOUR),
    *(2 * DAY, 3 * DAY, 5 * DAY, 7 * DAY, 14 * DAY),
)
#: A length in an address: no longer than the furthest that is looked ahead.
MOST_MINUTES = HORIZON.days * DAY
MOST_QUARTS = 99
MOST_DIGITS = 9
GAUGES = [("", "any gauge"), *Gauge.choices]


class QuartsField(ExactField):
    """How many quart jars a load must hold."""

    example = "7"

    def __init__(self, **options: Any) -> None:
        super().__init__(least=0, most=MOST_QUARTS, shown_unit="quart", **options)


class FindForm(forms.Form):
    """How long, of what, between when and when; the rest is as one likes."""

    def __init__(
        self, typed: QueryDict, *, coop: Coop, kinds: Sequence[str], now: datetime
    ) -> None:
        self.now = now
        self.zone = zone = ZoneInfo(coop.time_zone)
        super().__init__(_filled_in(typed, zone, now))
        kind = self.data["kind"]
        self.fields = {
            "kind": forms.ChoiceField(
                label="What", choices=[(each, kind_said(each).capitalize()) for each in kinds]
            ),
            "minutes": LengthField(LENGTHS, kept=_length(self.data["minutes"]), label="For"),
            "from_at": LocalDateTimeField(zone, label="Not before"),
            "until_at": LocalDateTimeField(zone, label="Back by"),
            "hours": forms.ChoiceField(
                label="At what hours",
                choices=Hours.choices,
                help_text="What takes longer than that begins in those hours.",
            ),
            "gauge": forms.ChoiceField(label="Gauge", required=False, choices=GAUGES),
            "quarts": QuartsField(label="A load holds at least", required=False),
            "even_if_busy": forms.BooleanField(
                label="Also while we have something else booked", required=False
            ),
            "thing": forms.IntegerField(required=False, widget=forms.HiddenInput),
            # Passed on to the booking: what it is for, and what it comes from.
            "purpose": forms.CharField(required=False, max_length=120, widget=forms.HiddenInput),
            "about": forms.CharField(required=False, max_length=60, widget=forms.HiddenInput),
        }
        if kind != ThingKind.PRESSURE_CANNER:
            del self.fields["gauge"]
        if kind not in (ThingKind.PRESSURE_CANNER, ThingKind.WATER_BATH_CANNER):
            del self.fields["quarts"]

    def clean(self) -> dict[str, Any]:
        """Refuse a window that is over, too far away, or ends before it starts."""
        typed = self.cleaned_data
        first, last = typed.get("from_at"), typed.get("until_at")
        if first and last and last <= max(first, self.now):
            self.add_error("until_at", "That is over before it begins. Choose a later end.")
        elif last and last > self.now + HORIZON:
            self.add_error("until_at", f"Look at most {HORIZON.days} days ahead.")
        return typed

    def window_said(self, window: tuple[datetime, datetime]) -> dict[str, str]:
        """A window as an address says it, by the co-op's clocks."""
        said = (each.astimezone(self.zone).strftime(LOCAL_FORMAT) for each in window)
        return dict(zip(("from_at", "until_at"), said, strict=True))

    def other_lengths(self) -> list[int]:
        """The next shorter and the next longer length that is offered, in minutes."""
        minutes = self.cleaned_data["minutes"]
        shorter = [each for each in LENGTHS if each < minutes][-1:]
        return shorter + [each for each in LENGTHS if each > minutes][:1]

    def gauges(self) -> list[tuple[str, str]]:
        """The gauges to choose from, key and words; none where a kind has none."""
        return GAUGES if "gauge" in self.fields else []

    def search(self) -> Search:
        """What is looked for, of a form that is valid."""
        typed = self.cleaned_data
        return Search(
            kind=typed["kind"],
            minutes=typed["minutes"],
            window=(typed["from_at"], typed["until_at"]),
            gauge=typed.get("gauge", ""),
            thing_id=typed["thing"],
            hours=typed["hours"],
            quarts=typed.get("quarts") or 0,
            even_if_busy=typed["even_if_busy"],
        )


class StandByForm(forms.Form):
    """What one stands by for, and within which time."""

    def __init__(self, *args: Any, coop: Coop, things: Sequence[Thing], **options: Any) -> None:
        super().__init__(*args, **options)
        zone = ZoneInfo(coop.time_zone)
        kept = _length(str(self.data.get("minutes") or self.initial.get("minutes", "")))
        self.fields = {
            "what": forms.ChoiceField(label="What", choices=_choices(things)),
            "minutes": LengthField(LENGTHS, kept=kept, label="For"),
            "from_at": LocalDateTimeField(zone, label="Not before"),
            "until_at": LocalDateTimeField(zone, label="Back by"),
            "purpose": forms.CharField(
                label="What for", required=False, max_length=120, help_text="Like: peaches."
            ),
        }
        self.things = {each.pk: each for each in things}

    def clean_what(self) -> tuple[str, str, int | None]:
        """The kind, the gauge where that matters, and the thing where one was named."""
        sort, key, gauge = f"{self.cleaned_data['what']}::".split(":")[:3]
        if sort == "thing":
            return self.things[int(key)].kind, "", int(key)
        return key, gauge, None

    def clean(self) -> dict[str, Any]:
        """Refuse an end that is not after the start."""
        typed = self.cleaned_data
        first, last = typed.get("from_at"), typed.get("until_at")
        if first and last and last <= first:
            raise ValidationError({"until_at": "It must end after it begins. Choose a later end."})
        return typed

    def want(self) -> Want:
        """What is wanted, of a form that is valid."""
        typed = self.cleaned_data
        kind, gauge, thing_id = typed["what"]
        return Want(
            kind=kind,
            gauge=gauge,
            thing_id=thing_id,
            minutes=typed["minutes"],
            from_at=typed["from_at"],
            until_at=typed["until_at"],
            purpose=typed["purpose"],
        )


def standby_initial(query: QueryDict, now: datetime) -> dict[str, Any]:
    """What the address says of a place in line; a week of the usual length where it says nothing.

    `thing`, or `kind` and `gauge`, `minutes`, `from_at` and `until_at` as they stand in an address.
    """
    kind, thing, gauge = (query.get(name, "") for name in ("kind", "thing", "gauge"))
    of_kind = f"kind:{kind}:{gauge}" if gauge else f"kind:{kind}"
    return {
        "what": f"thing:{thing}" if thing else of_kind,
        "minutes": _length(query.get("minutes", "")) or USUAL_MINUTES.get(kind, 3 * HOUR),
        "from_at": query.get("from_at") or now,
        "until_at": query.get("until_at") or now + WEEK,
        "purpose": query.get("purpose", "")[:120],
    }


def number_in(text: str) -> int | None:
    """A key in an address, None for what is none."""
    is_key = text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS
    return int(text) if is_key else None


def _choices(things: Sequence[Thing]) -> list[tuple[str, list[tuple[str, str]]]]:
    """By kind: any of it, and each thing."""
    kinds = [kind for kind in ThingKind.values if any(each.kind == kind for each in things)]
    return [
        (
            kind_said(kind).capitalize(),
            [
                (f"kind:{kind}", f"any {kind_said(kind)}"),
                *_by_gauge(kind, things),
                *((f"thing:{each.pk}", each.name) for each in things if each.kind == kind),
            ],
        )
        for kind in kinds
    ]


def _by_gauge(kind: str, things: Sequence[Thing]) -> list[tuple[str, str]]:
    """Any of a kind with a gauge of one sort, for the sorts that there are."""
    there = {each.gauge for each in things if each.kind == kind}
    return [
        (f"kind:{kind}:{gauge.value}", f"any with a {gauge.label}")
        for gauge in Gauge
        if gauge in there
    ]


def _length(text: str) -> int | None:
    """Minutes in an address, None for what makes no sense."""
    minutes = number_in(text)
    return minutes if minutes and minutes <= MOST_MINUTES else None


def _filled_in(typed: QueryDict, zone: ZoneInfo, now: datetime) -> QueryDict:
    """What the address says, and what is usual for the rest."""
    data = typed.copy()
    kind = data.get("kind", "")
    proposed = {
        "kind": kind,
        "minutes": str(USUAL_MINUTES.get(kind, 3 * HOUR)),
        "from_at": now.astimezone(zone).strftime(LOCAL_FORMAT),
        "until_at": (now + WEEK).astimezone(zone).strftime(LOCAL_FORMAT),
        "hours": Hours.WAKING.value,
    }
    for name, value in proposed.items():
        if not data.get(name):
            data[name] = value
    return data
