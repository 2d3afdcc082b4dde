"""Figures, moments and small pictures as pages write them."""

import doctest
from datetime import UTC, date, datetime
from fractions import Fraction
from types import SimpleNamespace

import pytest
import time_machine
from babel.numbers import get_currency_precision
from django.template import engines

from coop.core import figures, moments
from coop.web import badges, drawings

COOP = SimpleNamespace(currency="USD", time_zone="America/Denver", slug="quarry-hill")
# Currencies whose digits in CLDR follow daily use, not ISO 4217 (ISO from memory: two, or three
# for the Iraqi dinar).
CLDR_FOLLOWS_USE = {
    "AFN", "ALL", "IQD", "IRR", "KPW", "LAK", "LBP", "MGA", "MMK", "MRO", "RSD", "SLE", "SLL",
    "SOS", "STD", "SYP", "TMM", "TRL", "YER", "ZMK", "ZWD", "UYW", "CLF", "UYI", "PKR", "HUF",
}  # fmt: skip


def written(source, **context):
    template = engines["django"].from_string("{% load larders %}" + source)
    return template.render({"coop": COOP, **context}).strip()


@pytest.mark.parametrize("module", [badges, drawings, figures, moments])
def test_the_examples_in_the_docstrings_hold(module):
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize(
    ("cents", "text"),
    [(3840, "$38.40"), (0, "$0.00"), (-5, figures.MINUS + "$0.05"), (123456789, "$1,234,567.89")],
)
def test_money_is_written_to_the_cent_with_a_real_minus(cents, text):
    assert written("{{ cents|money:coop }}", cents=cents) == text


@pytest.mark.parametrize(
    ("currency", "text"),
    [("JPY", "¥3,840"), ("BHD", "BHD 3.840"), ("EUR", "€38.40"), ("CAD", "$38.40")],
)
def test_money_follows_the_currency_of_the_coop(currency, text):
    coop = SimpleNamespace(currency=currency)
    assert written("{{ 3840|money:coop }}", coop=coop) == text


@pytest.mark.parametrize(
    "currency", ["AUD", "CHF", "CLP", "GBP", "ISK", "JPY", "KWD", "MXN", "TND"]
)
def test_the_digits_of_a_currency_agree_with_cldr(currency):
    # Source: Unicode CLDR, supplemental currency data, as shipped with babel.
    assert figures.minor_digits(currency) == get_currency_precision(currency)


def test_currencies_without_cents_in_our_table_have_none_in_cldr():
    ours = {code for code, digits in figures.MINOR_DIGITS.items() if digits == 0}
    assert {code for code in ours if get_currency_precision(code) != 0} <= CLDR_FOLLOWS_USE


@pytest.mark.parametrize(
    ("steps", "measure", "text"),
    [
        (700, "weight", "70 lb"),
        (577, "weight", "57.7 lb"),
        (-5, "weight", figures.MINUS + "0.5 lb"),
        (12, "count", "12 pieces"),
        (1, "count", "1 piece"),
        (123450, "weight", "12,345 lb"),
        (Fraction(1730, 3), "weight", "57.7 lb"),
    ],
)
def test_a_quantity_says_its_unit(steps, measure, text):
    assert written("{% quantity steps measure %}", steps=steps, measure=measure) == text


def test_what_is_counted_may_be_named():
    assert written('{% quantity 12 "count" "ear" %}') == "12 ears"
    assert written('{% amount 577 "weight" %} {% unit "weight" %}') == "57.7 lb"


@pytest.mark.parametrize(
    ("count", "noun", "text"),
    [
        (6, "bushel", "6 bushels"),
        (1, "box", "1 box"),
        (2, "box", "2 boxes"),
        (0, "peck", "0 pecks"),
    ],
)
def test_containers_are_counted_as_one_says_it(count, noun, text):
    assert written("{{ count|counted:noun }}", count=count, noun=noun) == text


def test_a_price_a_pound_is_rounded_once_from_the_exact_quotient():
    # 96.00 for 208.0 lb is 46.15 cents a pound.
    assert written('{% unit_price 9600 2080 "weight" coop %}') == "$0.46 a lb"
    assert written('{% unit_price 9600 0 "weight" coop %}') == ""


@time_machine.travel(datetime(2026, 8, 11, 18, 0, tzinfo=UTC), tick=False)
@pytest.mark.parametrize(
    ("moment", "text"),
    [
        (datetime(2026, 8, 12, 2, 0, tzinfo=UTC), "tonight at 20:00"),
        (datetime(2026, 8, 11, 20, 30, tzinfo=UTC), "today at 14:30"),
        (datetime(2026, 8, 12, 15, 0, tzinfo=UTC), "tomorrow at 9:00"),
        (datetime(2026, 8, 10, 18, 0, tzinfo=UTC), "yesterday at 12:00"),
        (datetime(2026, 8, 14, 18, 0, tzinfo=UTC), "Fri 14 Aug at 12:00"),
        (datetime(2027, 8, 14, 18, 0, tzinfo=UTC), "Sat 14 Aug 2027 at 12:00"),
    ],
)
def test_a_moment_is_said_in_the_zone_of_the_coop(moment, text):
    assert f">{text}</time>" in written("{% when moment coop %}", moment=moment)


def test_days_differ_by_zone():
    moment = datetime(2026, 8, 12, 2, 0, tzinfo=UTC)
    with time_machine.travel(moment, tick=False):
        in_denver = written(
            "{{ moment|local_day:coop }} {{ moment|local_clock:coop }}", moment=moment
        )
        tokyo = SimpleNamespace(time_zone="Asia/Tokyo")
        in_tokyo = written("{{ moment|local_day:coop }}", moment=moment, coop=tokyo)
    assert (in_denver, in_tokyo) == ("Tue 11 Aug 20:00", "Wed 12 Aug")


def test_a_span_says_the_second_day_only_where_it_differs():
    start, end = datetime(2026, 8, 12, 22, tzinfo=UTC), datetime(2026, 8, 13, 0, 30, tzinfo=UTC)
    assert written("{% span start end coop %}", start=start, end=end) == "16:00 to 18:30"
    later = datetime(2026, 8, 13, 14, tzinfo=UTC)
    text = written("{% span start end coop %}", start=start, end=later)
    assert text == "Wed 12 Aug, 16:00 to Thu 13 Aug, 8:00"


def test_a_plain_date_needs_no_zone():
    with time_machine.travel(datetime(2026, 8, 11, 18, tzinfo=UTC), tick=False):
        assert written("{{ day|said_day:coop }}", day=date(2026, 8, 12)) == "tomorrow"


def test_a_bar_short_of_full_is_never_drawn_full():
    assert 'width="99"' in written("{% share_bar 9999 10000 %}")
    assert 'class="bar-share bar-full"' in written("{% share_bar 350 350 %}")


def test_a_bar_without_a_number_beside_it_is_named():
    assert 'role="img" aria-label="54 of 70 lb"' in written('{% share_bar 540 700 "54 of 70 lb" %}')
    assert 'aria-hidden="true"' in written("{% share_bar 540 700 %}")


def test_a_row_of_containers_is_named_and_holds_one_picture_each():
    row = written('{% containers filled 7 "bushel" %}', filled=Fraction(11, 2))
    assert 'aria-label="5.5 of 7 bushels"' in row
    assert (row.count('class="container"'), row.count("container-fill")) == (7, 6)


def test_a_long_row_of_containers_is_said_in_words():
    assert "40 of 99 boxes</span>" in written('{% containers 40 99 "box" %}')


def test_the_stage_rail_marks_what_is_done_and_where_the_buy_is():
    rail = written('{% stage_rail "collected" %}')
    assert (rail.count("rail-done"), rail.count('aria-current="step"')) == (2, 1)


def test_a_buy_called_off_has_no_rail():
    assert "rail-stage" not in written('{% stage_rail "called_off" %}')


def test_a_household_is_told_by_letter_and_name_and_not_by_colour_alone():
    household = SimpleNamespace(name="Osgood", pk=12)
    badge = written("{% household_badge household %}", household=household)
    assert 'aria-label="Osgood"' in badge
    assert ">O</span>" in badge


def test_names_are_escaped():
    household = SimpleNamespace(name="<b>Ox", pk=1)
    assert "<b>" not in written('{% household_badge household "name" %}', household=household)
