"""A cause that comes back to what it said before tells nobody the same news twice."""

from datetime import timedelta

import pytest

from coop.notices.actions.keeping import keep
from coop.notices.kinds import ByMail
from coop.notices.models import Choice, Matter, Notice
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_mail, say
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def told(to, at=NOW, title="Called in", **fields):
    return [say(to, key="x", at=at, title=title, **fields)]


def keep_it(to, says):
    keep(to.coop, "test:1", says)


def test_news_that_come_back_are_not_told_again(household, member, clock):
    keep_it(household, told(household))
    assert len(post()) == 1
    clock.shift(HOUR)
    keep_it(household, [])
    keep_it(household, told(household, title="Called in all the same"))
    assert post() == []
    matter = Matter.objects.get()
    assert (matter.dropped_at, matter.title) == (None, "Called in all the same")
    assert matter.sequence > 1


def test_a_mail_that_waited_for_the_morning_still_comes(household, member, clock):
    clock.move_to(NOW + 14 * HOUR)  # 23:00
    keep_it(household, told(household, at=NOW + 14 * HOUR))
    morning = Notice.objects.get().mail_at
    keep_it(household, [])
    keep_it(household, told(household, at=NOW + 14 * HOUR))
    assert Notice.objects.get().mail_at == morning
    assert post() == []
    clock.move_to(morning)
    assert len(post()) == 1


def test_who_wanted_no_mail_gets_none_by_it(household, member):
    Choice.objects.create(member=member, kind=NEWS.code, by_mail=ByMail.NEVER)
    for says in (told(household), [], told(household)):
        keep_it(household, says)
    assert Notice.objects.get().mail_at is None


def test_who_joined_meanwhile_is_told(household, member):
    keep_it(household, told(household))
    post()
    keep_it(household, [])
    joined = make_member(household)
    keep_it(household, told(household))
    assert [letter.to for letter in post()] == [[joined.user.email]]


def test_the_same_thing_done_anew_is_news(household, member, clock):
    keep_it(household, told(household))
    assert len(post()) == 1
    keep_it(household, [])
    clock.shift(HOUR)
    keep_it(household, told(household, at=NOW + HOUR))
    assert len(post()) == 1
    assert Matter.objects.count() == 2


def test_there_and_back_is_told_both_times(household, member, clock):
    """It moved, and moved back: who was told of the one is told of the other."""
    for at in (NOW, NOW + HOUR / 2, NOW):
        keep_it(household, told(household, at=at))
        clock.shift(HOUR)
        assert len(post()) == 1


def test_a_letter_that_waits_for_its_second_try_says_it_once_it_is_so_again(household, member):
    keep_it(household, told(household))
    waits = make_mail(member, notices=0, attempts=1, try_at=NOW + HOUR)
    Notice.objects.update(mail=waits)
    keep_it(household, [])
    assert Notice.objects.get().mail is None
    keep_it(household, told(household))
    assert len(post()) == 1


def test_what_a_mail_told_before_the_night_is_told_again_when_it_moves(household, member, clock):
    """It is due at 2:00 and cannot wait until morning, so it goes out before quiet hours."""
    for at in (NOW + 19 * HOUR, NOW + 20 * HOUR):  # 4:00 and 5:00
        keep_it(household, [say(household, key="x", kind=START.code, at=at)])
        clock.move_to(NOW + 12 * HOUR - HOUR / 60)  # 20:59
        assert len(post()) == 1
    assert Matter.objects.filter(dropped_at=None).count() == 1
    assert Matter.objects.count() == 2
