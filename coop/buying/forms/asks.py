"""Forms of asks, and of asks passed on after the close."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.buying.actions.asks import AskTerms
from coop.buying.models import Ask, Line, Measure
from coop.web.fields import AmountField
from coop.web.figures import quantity


class AcceptForm(forms.Form):
    """A yes to the rules, where it was not said before."""

    accept_rules = forms.BooleanField(
        required=False, label="I have read the rules of this buy and accept them"
    )

    def __init__(self, *args: Any, has_accepted: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        if has_accepted:
            del self.fields["accept_rules"]

    def accepts(self) -> bool:
        """Whether the yes was said with this form."""
        return bool(self.cleaned_data.get("accept_rules"))


class AskForm(AcceptForm):
    """What a household wants of one line, in pounds or pieces."""

    field_order = ("wanted", "at_least", "at_most", "whole", "or_none", "purpose", "accept_rules")

    or_none = forms.BooleanField(
        required=False,
        label="All or nothing",
        help_text="Rather none at all than less than the least (or than what you want).",
    )
    purpose = forms.CharField(
        max_length=120,
        required=False,
        label="What it is for",
        help_text="Freezing, sauce for winter, eating now …",
    )

    def __init__(self, *args: Any, line: Line, **options: Any) -> None:
        super().__init__(*args, **options)
        self.line = line
        self.fields["wanted"] = AmountField(line.measure, label="You want")
        self.fields["at_least"] = AmountField(
            line.measure,
            required=False,
            label="At least",
            help_text="Less than this is of no use. Empty: any amount helps.",
        )
        self.fields["at_most"] = AmountField(
            line.measure,
            required=False,
            label="At most",
            help_text="You would take this much if it makes the order come out. Empty: no more.",
        )
        self.fields["whole"] = forms.TypedChoiceField(
            label="Containers",
            choices=self._whole_choices(),
            coerce=int,
            empty_value=None,
            required=False,
            widget=forms.RadioSelect,
        )
        self.order_fields(self.field_order)

    def _whole_choices(self) -> list[tuple[str, str]]:
        sizes = {supply.size: supply.container for supply in self.line.supplies.all()}
        any_amount = (
            "Any amount, by the pound"
            if self.line.measure == Measure.WEIGHT
            else "Any amount, by the piece"
        )
        return [("", any_amount)] + [
            (str(size), f"Whole containers only: {name} of {quantity(size, self.line.measure)}")
            for size, name in sorted(sizes.items())
        ]

    @staticmethod
    def initial_of(ask: Ask | None) -> dict[str, Any]:
        """What the form shows of an ask; empty where it was given up or never made."""
        if ask is None or not ask.wanted:
            return {"whole": ""}
        return {
            "wanted": ask.wanted,
            "at_least": ask.at_least or None,
            "at_most": ask.at_most,
            "whole": "" if ask.whole is None else str(ask.whole),
            "or_none": ask.or_none,
            "purpose": ask.purpose,
        }

    def terms(self) -> AskTerms:
        """What was typed, once it is valid."""
        typed = self.cleaned_data
        return AskTerms(
            wanted=typed["wanted"],
            at_least=typed["at_least"] or 0,
            at_most=typed["at_most"],
            whole=typed["whole"],
            or_none=typed["or_none"],
            purpose=typed["purpose"],
        )


class ReleaseForm(forms.Form):
    """How much of an ask is passed on."""

    def __init__(self, *args: Any, line: Line, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"] = AmountField(
            line.measure,
            least=1,
            label="How much you pass on",
            help_text="It stays yours, and you pay for it, until somebody takes it.",
        )
