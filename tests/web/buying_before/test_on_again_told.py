"""Who was told that a buy is called off is told when it is on again."""

from datetime import timedelta

import pytest

from coop.buying.actions.call_in import call_off, step_back
from coop.notices.models import Matter
from coop.notices.sources import put_right
from tests.web.buys_told import SIX_TODAY, ask, letters, order, posted

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def buy(coordinator, member, other_household_member):
    """One household has asked, all others were told of it; a day on it is called off by mistake."""
    buy = posted(coordinator)
    ask(buy, member)
    return buy


def off_and_on(buy, by, clock):
    call_off(buy.pk, "Hail took the corn.", by=by)
    off = letters()
    clock.shift(HOUR)
    step_back(buy.pk, "It was the neighbour's.", by=by)
    return off


def test_who_was_told_that_it_is_off_is_told_that_it_is_on(
    buy, coordinator, member, other_household_member, clock
):
    clock.move_to(SIX_TODAY)
    letters()
    assert set(off_and_on(buy, coordinator, clock)) == {
        member.user.email,
        other_household_member.user.email,
    }
    assert letters() == {
        member.user.email: (
            "Sweet corn: on again",
            "Count on it again: this buy is no longer called off.",
        ),
        other_household_member.user.email: (
            "Sweet corn: on again",
            "Say how much you want, if you want any: this buy is no longer called off.",
        ),
    }
    assert put_right(buy.coop) == {}


def test_who_had_not_heard_of_either_is_told_of_neither(
    buy, coordinator, other_household_member, clock
):
    off_and_on(buy, coordinator, clock)
    assert other_household_member.user.email not in letters()


def test_off_again_it_is_told_again_and_called_in_it_is_no_news(buy, coordinator, member, clock):
    off_and_on(buy, coordinator, clock)
    letters()
    clock.shift(HOUR)
    assert member.user.email in off_and_on(buy, coordinator, clock)
    assert letters()[member.user.email][0] == "Sweet corn: on again"
    order(buy, coordinator)
    assert not Matter.objects.filter(title__endswith="on again", dropped_at=None).exists()
    assert put_right(buy.coop) == {}
