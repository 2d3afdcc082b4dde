"""What an app says is told: made, moved and dropped with its cause."""

from datetime import timedelta

import pytest

from coop.notices.actions.keeping import keep
from coop.notices.models import Choice, Matter, Notice
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import START, know_the_kinds, make_mail, say

pytestmark = pytest.mark.django_db
NEXT_WEEK = NOW + timedelta(days=7)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def starts(to, at=NEXT_WEEK, **fields):
    return say(to, key="start", kind=START.code, at=at, **fields)


def due(member):
    return sorted(
        Notice.objects.filter(member=member, matter__dropped_at=None).values_list(
            "due_at", flat=True
        )
    )


def test_each_member_of_the_household_is_told_at_each_lead(coop, household, member):
    second = make_member(household)
    keep(coop, "test:1", [starts(household)])
    expected = [NEXT_WEEK - timedelta(hours=24), NEXT_WEEK - timedelta(hours=2)]
    assert due(member) == due(second) == expected


def test_saying_the_same_again_changes_nothing(coop, household, member):
    keep(coop, "test:1", [starts(household, title="Canner")])
    assert not keep(coop, "test:1", [starts(household, title="Canner")])
    assert Notice.objects.count() == 2


def test_a_cause_that_moves_moves_its_notices(coop, household, member):
    keep(coop, "test:1", [starts(household)])
    kept = keep(coop, "test:1", [starts(household, at=NEXT_WEEK + timedelta(hours=3))])
    assert (kept.made, kept.changed, kept.dropped) == (0, 1, 0)
    assert due(member) == [NEXT_WEEK - timedelta(hours=21), NEXT_WEEK + timedelta(hours=1)]
    assert Matter.objects.get().sequence == 1


def test_a_cause_that_goes_takes_what_was_not_told_along(coop, household, member):
    keep(coop, "test:1", [starts(household)])
    keep(coop, "test:1", [])
    assert not Notice.objects.exists()
    assert Matter.objects.get().dropped_at == NOW  # the calendar says that it is cancelled


def test_news_that_are_withdrawn_before_anybody_was_told_leave_no_trace(coop, household, member):
    later = say(household, at=NOW + timedelta(hours=1))
    keep(coop, "test:1", [later])
    keep(coop, "test:1", [])
    assert not Matter.objects.exists()


def test_moved_after_it_was_told_it_is_told_anew(coop, household, member, clock):
    keep(coop, "test:1", [starts(household)])
    clock.move_to(NEXT_WEEK - timedelta(hours=20))
    keep(coop, "test:1", [starts(household, at=NEXT_WEEK + timedelta(days=3))])
    told, anew = Matter.objects.order_by("pk")
    assert told.dropped_at
    assert told.notices.count() == 1
    assert anew.notices.count() == 2
    assert anew.sequence > told.sequence


def test_what_a_mail_in_hand_may_be_telling_stays(coop, household, member, clock):
    keep(coop, "test:1", [starts(household)])
    clock.move_to(NEXT_WEEK - timedelta(hours=24))
    notice = Notice.objects.order_by("due_at").first()
    notice.mail = make_mail(
        member,
        notices=0,
        token="1" * 32,
        leased_until=NEXT_WEEK,
    )
    notice.save()
    keep(coop, "test:1", [])
    assert Notice.objects.get().mail_id == notice.mail_id


def test_old_news_are_history(coop, household, member):
    keep(coop, "test:1", [say(household, at=NOW - timedelta(days=2))])
    assert not Notice.objects.exists()


def test_a_reminder_whose_time_has_passed_is_left_out(coop, household, member):
    keep(coop, "test:1", [starts(household, at=NOW + timedelta(hours=5))])
    assert due(member) == [NOW + timedelta(hours=3)]


def test_a_choice_of_the_member_says_when_and_how(coop, household, member):
    Choice.objects.create(
        member=member, kind=START.code, by_mail="never", timing=START.timings[1].code
    )
    keep(coop, "test:1", [starts(household)])
    notice = Notice.objects.get(member=member)
    assert (notice.due_at, notice.mail_at) == (NEXT_WEEK - timedelta(hours=6), None)


def test_another_members_household_is_not_told(coop, household, member, other_household_member):
    keep(coop, "test:1", [starts(household)])
    assert due(other_household_member) == []
