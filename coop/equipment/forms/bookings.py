"""What is typed to book."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django import forms

from coop.equipment.actions.booking import MOST_WEEKS, Wish
from coop.equipment.kinds import CYCLE_EXPECTED_HOURS, KINDS
from coop.equipment.models import Booking, Thing
from coop.equipment.queries.free import HORIZON, Span
from coop.equipment.queries.thing_page import usual_length
from coop.equipment.words import minutes_between
from coop.people.models import Coop, Household
from coop.web.fields import LOCAL_FORMAT, LocalDateTimeField

LONGEST_PURPOSE = Booking._meta.get_field("purpose").max_length or 0
#: What a booking may come from: the kind of it, and its key.
ABOUT = r"^(buy|plan|load):\d{1,12}$"
DAYS_IN_WEEK = 7
#: Far enough from the first and the last moment that can be reckoned with.
YEARS = (2000, 2999)
NO_TIME = "Say the day and the time."


class BookForm(forms.Form):
    """One thing or several for one time, once or weekly.

    `things` are all that can be chosen, `stopped` the keys of those out of order; `households`
    those for whom the member may book besides its own, none for most members.
    """

    about = forms.RegexField(ABOUT, required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        coop: Coop,
        things: Sequence[Thing],
        stopped: frozenset[int] = frozenset(),
        households: Sequence[Household] = (),
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.coop, self.zone = coop, ZoneInfo(coop.time_zone)
        self.things = {thing.pk: thing for thing in things}
        self.stopped = stopped
        self.households = {household.pk: household for household in households}
        choices = [(pk, self._said(pk, stopped)) for pk in self.things]
        self.fields |= _what(choices) | times_of(self.zone) | _what_for() | _repeat()
        if self.households:
            self.fields["household"] = forms.TypedChoiceField(
                choices=[(pk, str(each)) for pk, each in self.households.items()],
                coerce=int,
                label="For",
            )
        if not self.may_end_by_itself:
            del self.fields["expected_at"]

    def _said(self, pk: int, stopped: frozenset[int]) -> str:
        return f"{self.things[pk]} (out of order)" if pk in stopped else str(self.things[pk])

    @property
    def chosen(self) -> list[Thing]:
        """The things chosen so far, whether or not the form is right."""
        typed = [self["thing"].value(), *(self["also"].value() or [])]
        by_text = {str(pk): thing for pk, thing in self.things.items()}
        return [by_text[key] for key in dict.fromkeys(map(str, typed)) if key in by_text]

    @property
    def span(self) -> Span | None:
        """The time chosen so far, whether or not the form is right; None for no sensible one."""
        start, end = (self._moment(name) for name in ("starts_at", "ends_at"))
        if start is None or end is None or not start < end <= start + HORIZON:
            return None
        return (start, end) if YEARS[0] <= start.year <= YEARS[1] else None

    def _moment(self, name: str) -> datetime | None:
        try:
            moment: datetime | None = self.fields[name].clean(self[name].value())
        except forms.ValidationError:
            return None
        return moment

    def household_chosen(self, own: Household) -> Household:
        """For whom so far, whether or not the form is right."""
        by_text = {str(pk): household for pk, household in self.households.items()}
        return by_text.get(str(self["household"].value()), own) if by_text else own

    def offer_also(self, free: Collection[int] | None) -> None:
        """Offer what is in order beside the thing chosen first, and say whether it is free then.

        `free` are the keys of what could be had at the time chosen; None where none is.
        """
        first = str(self["thing"].value())
        kept = {str(key) for key in self["also"].value() or []}
        offered = [
            pk
            for pk in self.things
            if str(pk) != first and (pk not in self.stopped or str(pk) in kept)
        ]
        if free is not None:
            offered.sort(key=lambda pk: pk not in free)
        # The choices of the field stay whole: what broke meanwhile is refused by name.
        self.fields["also"].widget.choices = [(pk, self._said_beside(pk, free)) for pk in offered]

    def _said_beside(self, pk: int, free: Collection[int] | None) -> str:
        if pk in self.stopped or free is None:
            return self._said(pk, self.stopped)
        return f"{self.things[pk]} ({'free then' if pk in free else 'not free then'})"

    @property
    def may_end_by_itself(self) -> bool:
        """Whether one of the chosen things says itself when it is done."""
        return any(KINDS[thing.kind].ends_by_itself for thing in self.chosen)

    @property
    def is_repeated(self) -> bool:
        """Whether a last day was typed."""
        return bool(self["last_on"].value())

    def clean(self) -> dict[str, Any]:
        """The end is after the start: said here already, since both stand side by side."""
        typed = super().clean() or {}
        start, end = typed.get("starts_at"), typed.get("ends_at")
        if start and end and end <= start:
            self.add_error("ends_at", "It ends before it starts. Choose a later end.")
        if start and typed.get("last_on") and not 1 < self.weeks() <= MOST_WEEKS:
            most = MOST_WEEKS - 1
            self.add_error("last_on", f"The last day must be 1 to {most} weeks after the first.")
        return typed

    def wishes(self) -> list[Wish]:
        """What was typed, a wish for each thing; the one chosen first comes first."""
        typed = self.cleaned_data
        return [
            Wish(thing.pk, typed["starts_at"], typed["ends_at"], typed.get("expected_at"))
            for thing in self.chosen
        ]

    def household(self, own: Household) -> Household:
        """For whom: the member's own unless another was chosen."""
        return self.households.get(self.cleaned_data.get("household") or 0, own)

    def weeks(self) -> int:
        """How many weeks to the last day, the first one counted; 0 where it is not repeated."""
        last = self.cleaned_data["last_on"]
        if last is None:
            return 0
        first = self.cleaned_data["starts_at"].astimezone(self.zone).date()
        return int((last - first).days // DAYS_IN_WEEK) + 1

    def address_from(self, start: datetime, end: datetime) -> str:
        """The query of this form with everything typed and another time."""
        typed = self.cleaned_data
        later = start - typed["starts_at"]
        expected = typed.get("expected_at")
        pairs = [
            *(("thing", thing.pk) for thing in self.chosen),
            ("start", start.isoformat()),
            ("end", end.isoformat()),
            ("expected", (expected + later).isoformat() if expected else ""),
            ("purpose", typed["purpose"]),
            ("about", typed["about"]),
            ("household", typed.get("household") or ""),
            ("last", typed["last_on"] or ""),
        ]
        return urlencode([(name, value) for name, value in pairs if value])

    def address_typed(self) -> str:
        """The query of this form with everything typed so far, whether or not it is right."""
        names = {
            "start": "starts_at",
            "end": "ends_at",
            "expected": "expected_at",
            "purpose": "purpose",
            "about": "about",
            "household": "household",
            "last": "last_on",
        }
        typed = [
            (name, self[field].value()) for name, field in names.items() if field in self.fields
        ]
        pairs = [*(("thing", thing.pk) for thing in self.chosen), *typed]
        return urlencode([(name, value) for name, value in pairs if value])

    def address_in_line(self, thing: Thing) -> str:
        """The query of a place in line for a thing with everything typed."""
        typed = self.cleaned_data
        start, end = typed["starts_at"], typed["ends_at"]
        pairs = [
            ("thing", thing.pk),
            ("minutes", minutes_between(start, end)),
            ("from_at", start.astimezone(self.zone).strftime(LOCAL_FORMAT)),
            ("until_at", end.astimezone(self.zone).strftime(LOCAL_FORMAT)),
            ("purpose", typed["purpose"]),
            ("household", typed.get("household") or ""),
        ]
        return urlencode([(name, value) for name, value in pairs if value])


def _what(choices: list[tuple[int, str]]) -> dict[str, forms.Field]:
    return {
        "thing": forms.TypedChoiceField(
            choices=[("", "Choose"), *choices],
            coerce=int,
            label="What",
            error_messages={
                "required": "Choose what to book.",
                "invalid_choice": "Choose one of the things that are lent.",
            },
        ),
        "also": forms.TypedMultipleChoiceField(
            choices=choices,
            coerce=int,
            required=False,
            label="Also book at the same time",
            help_text="All of them, or none: where one is taken, nothing is booked.",
            widget=forms.CheckboxSelectMultiple,
            error_messages={"invalid_choice": "Choose from the things that are lent."},
        ),
    }


def times_of(zone: ZoneInfo) -> dict[str, forms.Field]:
    """The fields of a time, by the clocks of a zone, and when what ends by itself is done."""
    wrong = {"required": NO_TIME}
    return {
        "starts_at": LocalDateTimeField(zone, label="From", error_messages=wrong),
        "ends_at": LocalDateTimeField(zone, label="Until", error_messages=wrong),
        "expected_at": LocalDateTimeField(
            zone,
            required=False,
            label="Likely to be done",
            help_text="It ends by itself: you have it until the latest end, and can change both "
            "as it runs.",
        ),
    }


def _what_for() -> dict[str, forms.Field]:
    return {
        "purpose": forms.CharField(
            required=False,
            max_length=LONGEST_PURPOSE,
            label="What for",
            help_text="For example: 2 bushels of peaches.",
        )
    }


def _repeat() -> dict[str, forms.Field]:
    return {
        "last_on": forms.DateField(
            required=False,
            label="Every week until",
            help_text="On the same day and at the same time. Weeks in which it cannot be had are "
            "named, and the others are booked.",
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            error_messages={"invalid": "Write a day, like 2026-10-31."},
        )
    }


def presets(asked: Mapping[str, Any], coop: Coop, things: Mapping[int, Thing]) -> dict[str, Any]:
    """What the address of the form asks for: its times by the co-op's clocks unless they say more.

    What is no thing, no time or no day is left out. Without an end it is as long as usual.
    """
    keys = [int(key) for key in asked["thing"] if key.isdecimal() and int(key) in things]
    start, end = (moment_asked(asked[name], coop) for name in ("start", "end"))
    expected = moment_asked(asked["expected"], coop)
    if start and keys:
        thing, start = things[keys[0]], start.astimezone(UTC)
        end = end or start + usual_length(thing)
        likely = start + timedelta(hours=CYCLE_EXPECTED_HOURS)
        expected = expected or (likely if likely < end else None)
    return {
        "thing": keys[0] if keys else "",
        "also": keys[1:],
        "starts_at": start,
        "ends_at": end,
        "expected_at": expected,
        "purpose": asked["purpose"][:LONGEST_PURPOSE],
        "about": asked["about"],
        "household": asked["household"],
        "last_on": asked["last"],
    }


def moment_asked(text: str, coop: Coop) -> datetime | None:
    """A moment of an address, ISO 8601, on the co-op's clocks where it has no offset; None where
    it is none.
    """
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    if not YEARS[0] <= moment.year <= YEARS[1]:
        return None
    return moment.replace(tzinfo=ZoneInfo(coop.time_zone)) if moment.tzinfo is None else moment
