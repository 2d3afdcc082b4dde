"""What is typed to move a booking and to cancel it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django import forms

from coop.core.figures import join_words
from coop.equipment.forms.bookings import times_of
from coop.equipment.kinds import KINDS
from coop.equipment.models import Booking

LONGEST_WHY = Booking._meta.get_field("cancel_why").max_length or 0


class MoveForm(forms.Form):
    """Another time for a booking; with `others`, what was booked with it can move along."""

    def __init__(
        self, *args: Any, booking: Booking, others: Sequence[Booking] = (), **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.booking = booking
        self.fields |= times_of(ZoneInfo(booking.coop.time_zone))
        if not KINDS[booking.thing.kind].ends_by_itself:
            del self.fields["expected_at"]
        if others:
            names = join_words(dict.fromkeys(str(each.thing) for each in others))
            self.fields["with_others"] = forms.BooleanField(
                required=False,
                label=f"Move {names} along",
                help_text="All of them, or none: where one is taken then, nothing is moved.",
            )

    def address_from(self, start: datetime, end: datetime) -> str:
        """The query of this form with another time."""
        with_others = self.cleaned_data.get("with_others", False)
        return move_address(start, end, with_others=with_others)


def move_address(start: datetime, end: datetime, *, with_others: bool) -> str:
    """The query of the form that moves a booking, filled in with a time."""
    asked = {"start": start.isoformat(), "end": end.isoformat()}
    return urlencode(asked | {"with": "all" if with_others else "none"})


class CancelForm(forms.Form):
    """Why, and whether what the same act booked for later goes too."""

    why = forms.CharField(
        required=False,
        max_length=LONGEST_WHY,
        label="Why",
        help_text="Whoever reads the history sees it.",
    )

    def __init__(self, *args: Any, later: int, **options: Any) -> None:
        super().__init__(*args, **options)
        if later:
            self.fields["which"] = forms.ChoiceField(
                choices=[
                    ("this", "This one alone"),
                    ("later", f"This one, and the {later} booked with it from then on"),
                ],
                initial="this",
                label="Which",
                widget=forms.RadioSelect,
            )

    @property
    def later_too(self) -> bool:
        """Whether the later ones go too."""
        return self.cleaned_data.get("which") == "later"
