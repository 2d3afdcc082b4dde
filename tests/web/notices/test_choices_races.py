"""A choice, a cause that moves and another choice, all in the same moment."""

from datetime import time, timedelta

import pytest

from coop.notices.actions.choices import Clocks, choose, stop_mail
from coop.notices.actions.keeping import keep
from coop.notices.kinds import ByMail, kind_of
from coop.notices.models import Choice, Notice, Wishes
from coop.notices.queries.choices import first_of
from tests.web.at_once import at_once
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import START, know_the_kinds, say

NEXT_WEEK = NOW + timedelta(days=7)
HOUR = timedelta(hours=1)


@pytest.fixture
def member(transactional_db):
    know_the_kinds()
    return make_member()


def starts(member, at):
    said = say(member.household, key="x", kind=START.code, at=at, title="Canner")
    return keep(member.coop, "test:1", [said])


def wants(member, by_mail, daily_at=18):
    choice = first_of(kind_of(START.code))
    choice.by_mail = by_mail
    clocks = Clocks(quiet=True, quiet_from=time(21), quiet_to=time(7), daily_at=time(daily_at))
    choose(clocks, {START.code: choice}, by=member)


def test_a_choice_and_a_cause_that_moves_at_once_end_in_agreement(member):
    starts(member, NEXT_WEEK)
    done = at_once(
        lambda: starts(member, NEXT_WEEK + 3 * HOUR), lambda: wants(member, ByMail.NEVER)
    )
    assert done == ["done", "done"]
    told = Notice.objects.order_by("due_at").values_list("due_at", "mail_at")
    assert list(told) == [(NEXT_WEEK - 21 * HOUR, None), (NEXT_WEEK + HOUR, None)]


def test_a_choice_and_a_cause_that_is_new_at_once_leave_no_notice_twice(member):
    done = at_once(lambda: starts(member, NEXT_WEEK), lambda: wants(member, ByMail.DAILY))
    assert done == ["done", "done"]
    assert Notice.objects.count() == 2


def test_choices_saved_at_once_take_turns(member):
    done = at_once(
        lambda: wants(member, ByMail.DAILY, daily_at=12),
        lambda: wants(member, ByMail.NEVER, daily_at=13),
        lambda: stop_mail(member, [START.code]),
    )
    assert done == ["done"] * 3
    assert Choice.objects.filter(member=member).count() == 1
    assert Wishes.objects.get(member=member).daily_at in (time(12), time(13))
