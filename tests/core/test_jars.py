"""Who lends empty jars to whom: single cases, and what is refused."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coop.core.jars import MOST, match_spares
from tests.core.slow_jars import check_match, made_up, slow_aims


def aims(match):
    return sum(move.jars for move in match.moves), match.households_visited, match.travel


def test_one_lender_far_away_is_better_than_two_nearby():
    match = match_spares(
        {"Ames": {"quart": 10}},
        {"Boone": {"quart": 6}, "Cole": {"quart": 12}, "Dunn": {"quart": 5}},
        {("Ames", "Boone"): 5, ("Cole", "Ames"): 50, ("Dunn", "Ames"): 5},
    )
    assert match.moves == (("Cole", "Ames", "quart", 10),)
    assert (match.households_visited, match.travel, match.proven) == (1, 500, True)


def test_more_jars_are_better_than_fewer_visits():
    match = match_spares(
        {"Ames": {"quart": 13}},
        {"Boone": {"quart": 6}, "Cole": {"quart": 12}},
        {("Ames", "Boone"): 5, ("Ames", "Cole"): 50},
    )
    assert (match.households_visited, match.unmet) == (2, {})
    assert match.travel == 6 * 5 + 7 * 50


def test_of_two_equal_lenders_the_nearer_one_is_visited():
    match = match_spares(
        {"Ames": {"pint": 4}},
        {"Boone": {"pint": 4}, "Cole": {"pint": 4}},
        {("Ames", "Boone"): 9, ("Ames", "Cole"): 8},
    )
    assert match.moves == (("Cole", "Ames", "pint", 4),)


def test_pints_do_not_stand_in_for_quarts():
    match = match_spares({"Ames": {"quart": 3}}, {"Boone": {"pint": 9}}, {("Ames", "Boone"): 1})
    assert match.moves == ()
    assert match.unmet == {"Ames": {"quart": 3}}


def test_a_pair_without_a_way_cannot_lend():
    match = match_spares({"Ames": {"quart": 3}}, {"Boone": {"quart": 9}}, {})
    assert (match.moves, match.unmet) == ((), {"Ames": {"quart": 3}})


def test_a_household_does_not_lend_to_itself():
    match = match_spares({"Ames": {"quart": 3}}, {"Ames": {"quart": 9}}, {("Ames", "Ames"): 0})
    assert (match.moves, match.unmet) == ((), {"Ames": {"quart": 3}})


def test_one_that_only_one_lender_reaches_is_served_by_that_one():
    """A demand from a narrowest cut: Cole alone has as many, but does not know the way to Dunn."""
    match = match_spares(
        {"Ames": {"quart": 6}, "Dunn": {"quart": 2}},
        {"Boone": {"quart": 3}, "Cole": {"quart": 8}},
        {("Ames", "Cole"): 1, ("Dunn", "Boone"): 7, ("Ames", "Boone"): 1},
    )
    assert match.moves == (("Boone", "Dunn", "quart", 2), ("Cole", "Ames", "quart", 6))


@pytest.mark.parametrize(
    ("needs", "spares"),
    [({}, {}), ({"Ames": {"quart": 0}}, {"Boone": {"quart": 5}}), ({}, {"Boone": {"quart": 5}})],
)
def test_no_needs_make_an_empty_match(needs, spares):
    match = match_spares(needs, spares, {("Ames", "Boone"): 5})
    assert (match.moves, match.unmet, match.households_visited, match.travel) == ((), {}, 0, 0)
    assert match.proven


def test_no_spares_leave_every_need():
    match = match_spares({"Ames": {"quart": 5, "pint": 0}}, {}, {("Ames", "Boone"): 5})
    assert (match.moves, match.unmet, match.proven) == ((), {"Ames": {"quart": 5}}, True)


@pytest.mark.parametrize("wrong", [-1, 2.5, "3", None, MOST + 1])
def test_a_wrong_count_is_named(wrong):
    with pytest.raises(ValueError, match="What Ames needs of quart is"):
        match_spares({"Ames": {"quart": wrong}}, {}, {})
    with pytest.raises(ValueError, match="What Ames spares of quart is"):
        match_spares({}, {"Ames": {"quart": wrong}}, {})
    with pytest.raises(ValueError, match="The minutes between Ames and Boone is"):
        match_spares({}, {}, {("Ames", "Boone"): wrong})


def test_two_ways_that_differ_are_refused_and_two_that_agree_are_not():
    counts = {"Ames": {"quart": 3}}, {"Boone": {"quart": 3}}
    both = {("Ames", "Boone"): 4, ("Boone", "Ames"): 4}
    assert match_spares(*counts, both).travel == 12
    with pytest.raises(ValueError, match="differ with the way round"):
        match_spares(*counts, {**both, ("Boone", "Ames"): 5})


def test_the_largest_numbers_do_not_overflow():
    match = match_spares({1: {1: MOST}}, {2: {1: MOST}}, {(1, 2): MOST})
    assert (match.travel, match.proven) == (MOST * MOST, True)


def test_without_time_as_many_jars_are_lent_but_nothing_is_proven():
    case = made_up(5, households=12, kinds=3)
    hasty, careful = match_spares(*case, seconds=0), match_spares(*case)
    check_match(hasty, *case)
    assert (hasty.proven, careful.proven) == (False, True)
    assert aims(hasty)[0] == aims(careful)[0]
    assert aims(hasty)[1] > aims(careful)[1]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.sampled_from([0.5, 1.0]))
def test_a_tiny_case_reaches_what_trying_everything_reaches(seed, known):
    case = made_up(seed, households=4, kinds=1, most=3, known=known)
    match = match_spares(*case)
    assert match.proven
    assert aims(match) == slow_aims(*case)
