"""Whose turn it is: the co-op's own rule, on examples and in its laws."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from coop.core.fair_turns import Turn, fair_order

NINE = datetime(2026, 8, 10, 9, tzinfo=UTC)
TEN = NINE + timedelta(hours=1)

claims_made = st.lists(
    st.tuples(st.integers(1, 99), st.sampled_from("ABCD"), st.sampled_from([NINE, TEN])),
    unique_by=lambda claim: claim[0],
)
had_so_far = st.dictionaries(st.sampled_from("ABCD"), st.integers(0, 3))


def test_who_had_least_comes_first_however_late_they_asked():
    turns = fair_order([(1, "Reyes", NINE), (2, "Okafor", TEN)], {"Reyes": 180, "Okafor": 60})
    assert turns == [Turn(2, "Okafor", TEN, 60), Turn(1, "Reyes", NINE, 180)]


def test_who_had_nothing_comes_before_all():
    turns = fair_order([(1, "Reyes", NINE), (2, "Okafor", TEN)], {"Reyes": 1})
    assert [(turn.household, turn.minutes_had) for turn in turns] == [("Okafor", 0), ("Reyes", 1)]


def test_of_equals_who_asked_first_and_then_the_smaller_key():
    turns = fair_order([(3, "Reyes", TEN), (9, "Okafor", NINE), (2, "Lindqvist", TEN)], {})
    assert [turn.key for turn in turns] == [9, 2, 3]


def test_nobody_claims_and_nobody_has_a_turn():
    assert fair_order([], {"Reyes": 60}) == []


@given(claims_made, had_so_far)
def test_every_claim_has_one_turn_and_none_goes_before_who_had_less(claims, had):
    turns = fair_order(claims, had)
    assert sorted(turn[:3] for turn in turns) == sorted(claims)
    assert all(turn.minutes_had == had.get(turn.household, 0) for turn in turns)
    for before, after in pairwise(turns):
        assert before.minutes_had <= after.minutes_had
        if before.minutes_had == after.minutes_had:
            assert (before.asked_at, before.key) < (after.asked_at, after.key)


@given(claims_made, had_so_far, st.randoms(use_true_random=False))
def test_the_order_in_which_claims_are_given_does_not_matter(claims, had, chance):
    shuffled = claims.copy()
    chance.shuffle(shuffled)
    assert fair_order(shuffled, had) == fair_order(claims, had)
