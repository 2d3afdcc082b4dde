"""Form fields for amounts, money and local times: text as people type it, and back, exactly."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from babel.numbers import get_currency_symbol
from django import forms
from django.core.exceptions import ValidationError

from coop.buying.models import Measure
from coop.web.figures import MINUS, minor_digits

#: The largest amount in base steps, and the largest in minor units, that a form takes: well under
#: what a database integer of 32 bits holds.
MOST_STEPS = 10_000_000
MOST_CENTS = 1_000_000_000

UNITS = {Measure.WEIGHT: "lb", Measure.COUNT: "piece"}
#: Thousands may be set off by commas, as in 1,200.5.
PLAIN_NUMBER = re.compile(r"-?(\d+|\d{1,3}(,\d{3})+)?(\.\d*)?", re.ASCII)
LOCAL_FORMAT = "%Y-%m-%dT%H:%M"
LOCAL_FORMATS = (LOCAL_FORMAT, "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M")


def decimal_text(value: int, digits: int, *, trim: bool) -> str:
    """A whole number of smallest units as plain decimal text, which a field reads back.

    >>> decimal_text(175, 1, trim=True), decimal_text(350, 1, trim=True)
    ('17.5', '35')
    >>> decimal_text(3840, 2, trim=False), decimal_text(500, 0, trim=False)
    ('38.40', '500')
    """
    text = f"{Decimal(value).scaleb(-digits):f}"
    return text.rstrip("0").rstrip(".") if trim and "." in text else text


class ExactField(forms.Field):
    """Decimal text for a whole number of smallest units: nothing is rounded, ever."""

    widget = forms.TextInput
    digits = 0
    trim = True
    example = "12"

    def __init__(self, *, least: int = 0, most: int, shown_unit: str, **options: Any) -> None:
        super().__init__(**options)
        self.least, self.most, self.unit = least, most, shown_unit

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Ask a phone for its keyboard of figures."""
        keyboard = "decimal" if self.digits else "numeric"
        return super().widget_attrs(widget) | {"inputmode": keyboard, "autocomplete": "off"}

    def prepare_value(self, value: Any) -> Any:
        """Show a stored number as text; leave what was typed as it was typed."""
        return decimal_text(value, self.digits, trim=self.trim) if type(value) is int else value

    def to_python(self, value: Any) -> int | None:
        """Read the text. Raises ValidationError with a sentence."""
        if value in self.empty_values or not (text := self.bare(str(value))):
            return None
        if not PLAIN_NUMBER.fullmatch(text) or not re.search(r"\d", text):
            raise ValidationError(f"Write it in figures, like {self.example}.", code="invalid")
        steps = Decimal(text.replace(",", "")).scaleb(self.digits)
        if steps != steps.to_integral_value():
            raise ValidationError(self.too_fine(), code="too_fine")
        return self._within(int(steps))

    def bare(self, text: str) -> str:
        """The figures alone: no spaces, no unit, a hyphen for a minus."""
        text = re.sub(r"\s", "", text).replace(MINUS, "-").lower()
        return text.removesuffix("s").removesuffix(self.unit)

    def too_fine(self) -> str:
        """What to say to more digits than there are smallest units."""
        return f"Whole numbers only, like {self.example}."

    def _within(self, steps: int) -> int:
        if steps < self.least:
            least = decimal_text(self.least, self.digits, trim=self.trim)
            raise ValidationError(f"It cannot be less than {self.said(least)}.", code="least")
        if steps > self.most:
            most = decimal_text(self.most, self.digits, trim=self.trim)
            raise ValidationError(f"It cannot be more than {self.said(most)}.", code="most")
        return steps

    def said(self, figures: str) -> str:
        """Figures with their unit: 0 jars, 1 jar, 7 mm."""
        is_many = self.digits == 0 and figures != "1"
        return f"{figures} {self.unit}{'s' * is_many}"


class AmountField(ExactField):
    """An amount of a measure: decimal pounds, or whole pieces; cleans to whole base steps.

    >>> AmountField("weight").clean("17.5"), AmountField("count").clean("60")
    (175, 60)
    """

    def __init__(
        self, measure: str, *, least: int = 0, most: int = MOST_STEPS, **options: Any
    ) -> None:
        self.measure = Measure(measure)
        self.digits = 1 if self.measure == Measure.WEIGHT else 0
        self.example = "17.5" if self.digits else "12"
        super().__init__(least=least, most=most, shown_unit=UNITS[self.measure], **options)

    def too_fine(self) -> str:
        """Say how fine the measure goes."""
        if self.digits:
            return "Pounds go to one decimal, a tenth of a pound, like 17.5."
        return "Pieces are whole, like 12."

    def said(self, figures: str) -> str:
        """Figures with lb, or with pieces."""
        return f"{figures} lb" if self.digits else f"{figures} pieces"


class MoneyField(ExactField):
    """An amount of a currency (ISO 4217 code); cleans to whole minor units.

    >>> MoneyField("USD").clean("$38.40"), MoneyField("JPY").clean("500")
    (3840, 500)
    """

    trim = False

    def __init__(
        self, currency: str, *, least: int = 0, most: int = MOST_CENTS, **options: Any
    ) -> None:
        self.currency = currency
        self.digits = minor_digits(currency)
        self.symbol = get_currency_symbol(currency, locale="en")
        self.example = decimal_text(1250, self.digits, trim=False)
        super().__init__(least=least, most=most, shown_unit=currency.lower(), **options)

    def bare(self, text: str) -> str:
        """Figures without the symbol or the code of the currency, before or after."""
        for mark in (self.symbol.lower(), self.currency.lower(), "$"):
            text = text.lower().replace(mark, "")
        return super().bare(text)

    def too_fine(self) -> str:
        """Say how fine the currency goes."""
        if not self.digits:
            return f"{self.currency} has no smaller coin: a whole number, like {self.example}."
        return f"{self.currency} goes to {self.digits} decimals, like {self.example}."

    def said(self, figures: str) -> str:
        """Figures with the currency's symbol before them."""
        return f"{self.symbol}{figures}"


class LocalDateTimeField(forms.Field):
    """A moment by the clocks of the co-op's zone; cleans to an aware moment in UTC.

    Of an hour that comes twice, when clocks go back, it means the first.
    """

    def __init__(self, zone: str | ZoneInfo, **options: Any) -> None:
        self.zone = zone if isinstance(zone, ZoneInfo) else ZoneInfo(zone)
        options.setdefault(
            "widget", forms.DateTimeInput(attrs={"type": "datetime-local"}, format=LOCAL_FORMAT)
        )
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        """Show a stored moment by the zone's clocks; leave what was typed as it was typed."""
        if isinstance(value, datetime):
            return value.astimezone(self.zone).strftime(LOCAL_FORMAT)
        return value

    def to_python(self, value: Any) -> datetime | None:
        """Read the text. Raises ValidationError with a sentence."""
        if value in self.empty_values:
            return None
        if isinstance(value, datetime):
            return value.astimezone(UTC)
        return self._moment(self._read(str(value).strip()))

    def _read(self, text: str) -> datetime:
        for pattern in LOCAL_FORMATS:
            try:
                return datetime.strptime(text, pattern)  # noqa: DTZ007 - the zone is set next
            except ValueError:
                continue
        raise ValidationError("Write a day and a time, like 2026-08-11 18:30.", code="invalid")

    def _moment(self, naive: datetime) -> datetime:
        try:
            moment = naive.replace(tzinfo=self.zone).astimezone(UTC)
        except OverflowError as error:
            raise ValidationError("That year is out of reach.", code="invalid") from error
        if moment.astimezone(self.zone).replace(tzinfo=None) != naive:
            raise ValidationError(
                "Clocks go forward that night and skip this time. Take one an hour earlier or "
                "later.",
                code="skipped",
            )
        return moment

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare to the minute: the widget shows no seconds."""
        return bool(self.prepare_value(initial) != self.prepare_value(data))
