"""Reading a pasted list of jars, line by line."""

from typing import Any

import pytest

from coop.jars.pasted import Pasted, read_list

# Names of sizes: 8, 12, 16, 24, 32 and 64 US fluid ounces; a US pint has 16 (NIST Handbook 44,
# Appendix C; from memory).


def one(text: str, known: tuple[str, ...] = ()) -> tuple[str, dict[str, int]]:
    read = read_list(text, known)
    assert not read.wrong, read.wrong
    (line,) = read.lines
    return line.key, dict(line.numbers)


def reason(text: str) -> str:
    read = read_list(text)
    assert not read.lines
    (wrong,) = read.wrong
    return wrong.reason


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("half-pint reg", "half_pint_regular"),
        ("half pints wide", "half_pint_wide"),
        ("½ pint regular mouth", "half_pint_regular"),
        ("8 oz wm", "half_pint_wide"),
        ("8oz. reg", "half_pint_regular"),
        ("12 oz regular", "twelve_ounce_regular"),
        ("12-ounce wide", "twelve_ounce_wide"),
        ("Pint, wide mouth", "pint_wide"),
        ("16 ounces wide", "pint_wide"),
        ("pts regular", "pint_regular"),
        ("pint-and-a-half, wide mouth", "pint_and_half_wide"),
        ("1 1/2 pint wide", "pint_and_half_wide"),
        ("24 oz regular", "pint_and_half_regular"),
        ("QT WIDE", "quart_wide"),
        ("wide-mouth quarts", "quart_wide"),
        ("32 oz reg", "quart_regular"),
        ("half-gallon wide", "half_gallon_wide"),
        ("1/2 gal wide", "half_gallon_wide"),
        ("64 oz regular", "half_gallon_regular"),
    ],
)
def test_sizes_and_mouths_by_their_names(words: str, kind: str) -> None:
    assert one(f"{words}: 7 full") == (kind, {"full": 7})


@pytest.mark.parametrize(
    ("line", "numbers"),
    [
        ("24 quarts wide spare", {"spare": 24}),
        ("qt wide 12 full", {"full": 12}),
        ("quarts wide: 30 empty 12 spare", {"empty": 30, "spare": 12}),
        ("quarts wide: full 3, empty 30, spare 12", {"full": 3, "empty": 30, "spare": 12}),
        ("quart wide - 30 empties, 12 of them spare", {"empty": 30, "spare": 12}),
        ("quart, wide, 3, 30, 12", {"full": 3, "empty": 30, "spare": 12}),
        ("quart\twide\t3\t30\t12", {"full": 3, "empty": 30, "spare": 12}),
        ("quart wide 0 full", {"full": 0}),
        ("quart wide 9999 full", {"full": 9999}),
    ],
)
def test_numbers_by_what_they_count(line: str, numbers: dict[str, int]) -> None:
    assert one(line) == ("quart_wide", numbers)


def test_columns_of_a_spreadsheet_go_by_their_heads() -> None:
    read = read_list(
        "Kind\tSpare\tFull\tNotes\nquart wide\t6\t12\tcellar, 2 chipped\npint reg\t\t40\t\n"
    )
    assert not read.wrong
    assert [(line.number, line.key, dict(line.numbers)) for line in read.lines] == [
        (2, "quart_wide", {"spare": 6, "full": 12}),
        (3, "pint_regular", {"full": 40}),
    ]


def test_lids_and_bands_go_by_their_mouth() -> None:
    assert one("48 lids wide") == ("wide", {"lids": 48})
    assert one("regular: 36 lids, 60 rings") == ("regular", {"lids": 36, "bands": 60})


def test_without_a_mouth_it_is_the_one_that_the_household_has_else_regular() -> None:
    assert one("pints: 30 empty")[0] == "pint_regular"
    assert one("pints: 30 empty", ("pint_wide", "quart_regular"))[0] == "pint_wide"
    assert one("pints: 30 empty", ("pint_wide", "pint_regular"))[0] == "pint_regular"
    assert [line.mouth_said for line in read_list("pint 3 full\npint wide 3 full").lines] == [
        False,
        True,
    ]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("24 quarts wide", "full, empty or spare"),
        ("quarts wide 24 and 12", "24 and 12"),
        ("quarts wide", "No number"),
        ("12 full", "No size"),
        ("12 pints 6 quarts full", "Two sizes"),
        ("quarts wide regular 4 full", "Two mouths"),
        ("quart wide -4 full", "below zero"),
        ("quart wide 4.5 full", "whole jars only"),
        ("quart wide 1000000 full", "more than 9,999"),
        ("quart wide 12 blue full", "“blue”"),
        ("quart wide 12 full 13 full", "not clear"),
        ("quart wide 12 full empty 13", "not clear"),
        ("48 lids", "regular or wide"),
        ("48 lids quart wide", "by mouth"),
        ("quart wide ٤ full", "whole jars only"),
        ("=1+1", "No size"),
    ],
)
def test_what_cannot_be_read_says_why(line: str, said: str) -> None:
    assert said in reason(line)


def test_bad_lines_are_named_by_their_number_among_good_ones() -> None:
    read: Pasted = read_list("\nqt wide 3 full\nhello\n\npt reg 4 full\nqt wide 5 full")
    assert [line.number for line in read.lines] == [2, 5]
    assert [(wrong.number, wrong.text) for wrong in read.wrong] == [
        (3, "hello"),
        (6, "qt wide 5 full"),
    ]
    assert "Line 2" in read.wrong[1].reason


@pytest.mark.parametrize("text", ["", "  \n\t\n", "Kind\tFull\tEmpty"])
def test_nothing_in_a_list_is_nothing_read(text: Any) -> None:
    assert read_list(text) == Pasted((), ())
