"""Lot codes: the check digit against print and a library, and every slip that it must catch."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import damm

from coop.core.lot_codes import DAMM, LARGEST_NUMBER, WrongCode, code_of, read_code, spoken

NUMBERS = st.integers(1, LARGEST_NUMBER)


def test_the_published_example():
    """H. M. Damm's check digit for 572 is 4: the example told with the method."""
    assert code_of(572) == "5724"


def test_many_numbers_get_the_digit_of_a_library():
    """python-stdnum, `stdnum.damm`."""
    numbers = [*range(1, 3000), *(Random(4).randint(1, LARGEST_NUMBER) for _ in range(3000))]
    assert [code_of(n) for n in numbers] == [f"{n}{damm.calc_check_digit(str(n))}" for n in numbers]


def test_the_table_is_a_totally_antisymmetric_latin_square():
    """What Damm's thesis asks for: no digit twice in a row or column, a zero down the middle."""
    assert all(set(line) == set(range(10)) for line in (*DAMM, *zip(*DAMM, strict=True)))
    assert all(DAMM[digit][digit] == 0 for digit in range(10))


@given(NUMBERS)
def test_a_code_is_read_back(number):
    assert read_code(code_of(number)) == number
    assert read_code(f"# {spoken(code_of(number))} ") == number


@given(NUMBERS, st.data())
def test_every_single_wrong_digit_is_caught(number, data):
    code = code_of(number)
    at = data.draw(st.integers(0, len(code) - 1))
    digit = data.draw(st.sampled_from(sorted(set("0123456789") - {code[at]})))
    with pytest.raises(WrongCode):
        read_code(code[:at] + digit + code[at + 1 :])


@given(NUMBERS)
def test_every_swap_of_neighbours_is_caught(number):
    code = code_of(number)
    for at in range(len(code) - 1):
        swapped = code[:at] + code[at + 1] + code[at] + code[at + 2 :]
        if swapped != code:
            with pytest.raises(WrongCode):
                read_code(swapped)


@pytest.mark.parametrize(
    "typed",
    [
        "5724",
        " 5724\n",
        "#5724",
        "# 57 24",
        "57-24",
        "57.24",
        "5 7 2 4",
        "57\N{EN DASH}24",
        "05724",
    ],
)
def test_it_is_read_however_it_was_written_down(typed):
    assert read_code(typed) == 572


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Type the lot code from the label"),
        (" # - ", "Type the lot code from the label"),
        ("101-5", "101-5 is not a lot code: a digit was misheard or two changed places."),
        ("57a4", "57a4 is not a lot code: a lot code has only digits."),
        ("57#24", "57#24 is not a lot code: a lot code has only digits."),
        ("٥٧٢٤", "only digits"),
        ("4", "4 is not a lot code: the shortest has two digits."),
        ("0000", "0000 is not a lot code: the shortest has two digits."),
        ("1234567890", "it has more than 9 digits."),
        ("9" * 500, "9" * 18 + "… is not a lot code"),
    ],
)
def test_what_is_no_code_is_told_in_a_sentence(typed, sentence):
    with pytest.raises(WrongCode) as caught:
        read_code(typed)
    assert sentence in caught.value.sentence
    assert str(caught.value) == caught.value.sentence


@pytest.mark.parametrize("number", [0, -5, LARGEST_NUMBER + 1, 1.0, "1"])
def test_a_number_out_of_bounds_has_no_code(number):
    with pytest.raises(ValueError, match="is not a whole number from 1 to 99999999"):
        code_of(number)


def test_the_largest_number_has_nine_digits_and_is_read():
    assert len(code_of(LARGEST_NUMBER)) == 9
    assert read_code(code_of(LARGEST_NUMBER)) == LARGEST_NUMBER


@pytest.mark.parametrize(
    ("code", "groups"), [("13", "13"), ("101", "1 01"), ("1010", "10 10"), ("12345", "1 23 45")]
)
def test_a_code_is_spoken_in_pairs(code, groups):
    assert spoken(code) == groups
