"""What the use of a thing costs: the co-op's own rule, worked by hand."""

import pytest

from coop.core.use_fees import use_fee


@pytest.mark.parametrize(
    ("minutes", "fee"), [(1, 200), (59, 200), (60, 200), (61, 400), (120, 400), (1440, 4800)]
)
def test_each_hour_that_was_started_is_paid(minutes, fee):
    assert use_fee(200, "hour", minutes) == fee


@pytest.mark.parametrize("minutes", [1, 60, 10_000])
def test_a_use_costs_the_same_however_long(minutes):
    assert use_fee(500, "use", minutes) == 500


def test_what_is_free_stays_free():
    assert use_fee(0, "hour", 600) == use_fee(0, "use", 600) == 0


@pytest.mark.parametrize(
    ("cents", "per", "minutes", "says"),
    [
        (-1, "use", 60, "The fee -1 is below zero"),
        (100, "use", 0, "A booking of 0 minutes"),
        (100, "hour", -60, "A booking of -60 minutes"),
        (100, "day", 60, "not for each 'day'"),
    ],
)
def test_what_is_no_fee_is_refused(cents, per, minutes, says):
    with pytest.raises(ValueError, match=says):
        use_fee(cents, per, minutes)
