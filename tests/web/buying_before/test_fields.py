"""What people type becomes whole base steps, minor units and moments, exactly."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from coop.web.fields import MOST_CENTS, MOST_STEPS, AmountField, LocalDateTimeField, MoneyField


def sentence(field, text):
    with pytest.raises(ValidationError) as refusal:
        field.clean(text)
    return refusal.value.messages[0]


@pytest.mark.parametrize(
    ("text", "tenths"),
    [("35", 350), ("17.5", 175), (" 17.50 lb", 175), ("1,200 lbs", 12000), (".5", 5), ("0", 0)],
)
def test_pounds_become_tenths(text, tenths):
    assert AmountField("weight").clean(text) == tenths


def test_a_second_decimal_of_a_pound_is_refused_with_a_sentence():
    assert sentence(AmountField("weight"), "17.55") == (
        "Pounds go to one decimal, a tenth of a pound, like 17.5."
    )


def test_half_a_piece_is_refused():
    assert sentence(AmountField("count"), "1.5") == "Pieces are whole, like 12."


@pytest.mark.parametrize("text", ["many", "1,5", "1e3", "NaN", "Infinity", ".", "-", "١٢", "--1"])
def test_what_is_no_number_is_refused_in_words(text):
    assert sentence(AmountField("weight"), text) == "Write it in figures, like 17.5."


def test_bounds_are_said_in_the_unit():
    assert sentence(AmountField("weight", least=5), "-1") == "It cannot be less than 0.5 lb."
    assert sentence(AmountField("count", most=12), "13") == "It cannot be more than 12 pieces."


def test_an_empty_amount_is_nothing_not_zero():
    assert AmountField("weight", required=False).clean("  ") is None
    assert sentence(AmountField("weight"), "") == "This field is required."


def test_a_currency_without_cents_refuses_them():
    # Digits by ISO 4217: JPY has none, KWD three.
    assert MoneyField("JPY").clean("¥1,500") == 1500
    assert MoneyField("KWD").clean("1.234") == 1234
    assert "no smaller coin" in sentence(MoneyField("JPY"), "1.5")


@given(st.integers(0, MOST_STEPS))
def test_every_amount_reads_back_as_it_was_shown(steps):
    field = AmountField("weight")
    assert Decimal(field.prepare_value(steps)) * 10 == steps
    assert field.clean(field.prepare_value(steps)) == steps


@given(st.integers(0, MOST_CENTS), st.sampled_from(["USD", "EUR", "JPY", "KWD"]))
def test_every_price_reads_back_as_it_was_shown(cents, currency):
    field = MoneyField(currency)
    assert field.clean(field.prepare_value(cents)) == cents
    assert not field.has_changed(cents, field.prepare_value(cents))


def test_what_was_typed_is_shown_again_as_typed():
    assert AmountField("weight").prepare_value("17,5") == "17,5"


def test_a_local_time_is_kept_in_utc():
    # Denver is 6 hours behind UTC in summer (IANA time zone data).
    field = LocalDateTimeField("America/Denver")
    assert field.clean("2026-08-11T18:30") == datetime(2026, 8, 12, 0, 30, tzinfo=UTC)
    assert field.prepare_value(datetime(2026, 8, 12, 0, 30, tzinfo=UTC)) == "2026-08-11T18:30"


def test_a_time_that_the_clocks_skip_is_refused():
    # Clocks in Denver go from 2:00 to 3:00 on 8 March 2026 (IANA time zone data).
    assert "skip this time" in sentence(LocalDateTimeField("America/Denver"), "2026-03-08T02:30")


def test_of_an_hour_that_comes_twice_it_means_the_first():
    field = LocalDateTimeField("America/Denver")
    assert field.clean("2026-11-01T01:30") == datetime(2026, 11, 1, 7, 30, tzinfo=UTC)


@pytest.mark.parametrize("text", ["tomorrow", "2026-13-01T10:00", "0001-01-01T00:00"])
def test_what_is_no_moment_is_refused(text):
    assert sentence(LocalDateTimeField("Pacific/Auckland"), text)
