"""What sends mail or makes accounts is limited within a window of time."""

from datetime import timedelta

import pytest

from coop.people.errors import TooMany
from coop.people.limits import HOUR_SECONDS, spend


def test_past_the_limit_it_is_refused_until_the_window_is_over(clock):
    for _ in range(3):
        spend("letters", at_most=3, seconds=HOUR_SECONDS)
    with pytest.raises(TooMany):
        spend("letters", at_most=3, seconds=HOUR_SECONDS)
    clock.shift(timedelta(hours=1, seconds=1))
    spend("letters", at_most=3, seconds=HOUR_SECONDS)


def test_each_key_has_a_limit_of_its_own(clock):
    spend("letters to Moss", at_most=1, seconds=HOUR_SECONDS)
    spend("letters to Fenn", at_most=1, seconds=HOUR_SECONDS)
