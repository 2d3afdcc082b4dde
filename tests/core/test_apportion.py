"""Largest remainder, against what was printed, a general package, and its own laws."""

from fractions import Fraction

import pytest
from apportionment.methods import TiesException, compute
from hypothesis import given, reject
from hypothesis import strategies as st

from coop.core.apportion import largest_remainder

# "The First Apportionment of the House of Representatives" (textbook project) and the R package
# apportR (J. P. Curley), data set usa1790, which agree; seats for Hamilton's bill of 120: "For All
# Practical Purposes", 10th ed. (COMAP / Macmillan), ch. 14 example 6, and US National Archives,
# "The 1790 Census and the First Veto" (4 April 2022).
CENSUS_1790 = {
    "Connecticut": (236841, 8),
    "Delaware": (55540, 2),
    "Georgia": (70835, 2),
    "Kentucky": (68705, 2),
    "Maryland": (278514, 9),
    "Massachusetts": (475327, 16),
    "New Hampshire": (141822, 5),
    "New Jersey": (179570, 6),
    "New York": (331589, 11),
    "North Carolina": (353523, 12),
    "Pennsylvania": (432879, 14),
    "Rhode Island": (68446, 2),
    "South Carolina": (206236, 7),
    "Vermont": (85533, 3),
    "Virginia": (630560, 21),
}
# The Act of 14 April 1792 gave 105 seats by one divisor of 33 000, all remainders dropped (MAA
# Convergence, "Apportioning Representatives in the United States Congress: Jefferson's Method").
JEFFERSON_DIVISOR = 33000

weights = st.lists(st.integers(0, 50) | st.fractions(0, 50, max_denominator=9), max_size=12)


def test_hamiltons_bill_of_1792_comes_out_as_printed():
    populations, seats = zip(*CENSUS_1790.values(), strict=True)
    assert largest_remainder(120, populations) == list(seats)


def test_hamilton_and_jefferson_differ_at_105_seats_in_two_states_only():
    populations = [population for population, _ in CENSUS_1790.values()]
    jefferson = [population // JEFFERSON_DIVISOR for population in populations]
    hamilton = largest_remainder(sum(jefferson), populations)
    differences = {
        state: ours - theirs
        for state, ours, theirs in zip(CENSUS_1790, hamilton, jefferson, strict=True)
        if ours != theirs
    }
    assert sum(jefferson) == 105
    assert differences == {"Virginia": -1, "Delaware": 1}  # the same MAA page


@pytest.mark.parametrize(
    ("total", "shares", "expected"),
    [
        # "Berechnungsbeispiele", a German public-law study site
        (10, (6100, 5000, 900), [5, 4, 1]),
        # README of the npm package apportionment
        (44, (21878, 9713, 4167, 3252, 1065), [24, 11, 5, 3, 1]),
        (43, (21878, 9713, 4167, 3252, 1065), [24, 10, 4, 4, 1]),
        # Electowiki, "Alabama paradox" (2005): percentages
        (323, (567, 385, 42, 6), [183, 124, 14, 2]),
        (324, (567, 385, 42, 6), [184, 125, 13, 2]),
    ],
)
def test_small_printed_examples_come_out_as_printed(total, shares, expected):
    assert largest_remainder(total, shares) == expected


@given(total=st.integers(1, 300), shares=st.lists(st.integers(1, 80), min_size=1, max_size=20))
def test_it_agrees_with_a_general_package(total, shares):
    # Of tied remainders the package may give to one before a larger remainder: [29, 29, 69] of 213.
    try:
        expected = compute("hamilton", shares, total, fractions=True, tiesallowed=False)
    except TiesException:
        reject()
    assert largest_remainder(total, shares) == list(expected)


@given(total=st.integers(0, 10_000), shares=weights.filter(any))
def test_parts_add_up_and_are_the_exact_part_rounded_one_way_or_the_other(total, shares):
    parts = largest_remainder(total, shares)
    exact = [Fraction(share) * total / sum(shares) for share in shares]
    assert sum(parts) == total
    assert all(abs(part - true) < 1 for part, true in zip(parts, exact, strict=True))


@given(total=st.integers(0, 1000), shares=weights.filter(any))
def test_a_larger_weight_never_gets_less(total, shares):
    got = sorted(zip(shares, largest_remainder(total, shares), strict=True))
    parts = [part for _, part in got]
    assert parts == sorted(parts)


def test_ties_go_to_the_earlier_entry():
    assert largest_remainder(100, [1, 1, 1]) == [34, 33, 33]
    assert largest_remainder(1, [Fraction(1, 2), Fraction(1, 2)]) == [1, 0]


def test_nothing_to_split_needs_no_weight():
    assert largest_remainder(0, []) == []
    assert largest_remainder(0, [0, 0]) == [0, 0]


@pytest.mark.parametrize(
    ("total", "shares", "sentence"),
    [
        (-1, [1], "The total -1 is below zero."),
        (2.5, [1], "The total 2.5 is not a whole number."),
        (5, [1, -2], "Weight 2: -2 is below zero."),
        (5, [1, 0.5], "Weight 2: 0.5 is not a whole number or a fraction."),
        (5, [0, 0], "There is 5 to hand out, and nobody has a weight above zero."),
        (5, [], "There is 5 to hand out, and nobody has a weight above zero."),
    ],
)
def test_what_cannot_be_split_is_refused_with_a_sentence(total, shares, sentence):
    with pytest.raises(ValueError, match="^" + sentence.replace(".", r"\.") + "$"):
        largest_remainder(total, shares)
