"""When a member is told of something, on the site and by mail, as they chose.

The clock stands at Tuesday 11 August 2026, 9:00 in Denver, where the co-op is.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from coop.core.reminders import after, before, evening_before
from coop.notices.actions.keeping import keep
from coop.notices.kinds import AT_ONCE, ByMail, Kind, Timing, declare
from coop.notices.membership import plan_all, plan_for
from coop.notices.models import Choice, Notice, Wishes
from tests.web.factories import NOW
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_mail, say

pytestmark = pytest.mark.django_db
DENVER = ZoneInfo("America/Denver")
HOUR = timedelta(hours=1)
LATE = Kind(
    "test_late",
    "Tests",
    "Told even late",
    (
        Timing("2 days and 6 hours before", (before(hours=48), before(hours=6))),
        Timing("the evening before at 18:00", (evening_before(18),)),
        Timing("2 hours before", (before(hours=2),)),
    ),
    even_late=True,
)
AFTER = Kind("test_after", "Tests", "Told after", (Timing("after", (after(minutes=10),)),))
DAILY = Kind("test_daily", "Tests", "Told once a day", AT_ONCE, by_mail=ByMail.DAILY)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()
    declare(LATE, AFTER, DAILY)


def august(day, hour, minute=0):
    return datetime(2026, 8, day, hour, minute, tzinfo=DENVER)


def tell(to, at, kind=LATE, **fields):
    return keep(to.coop, "test:1", [say(to, key="x", kind=kind.code, at=at, **fields)])


def told(member):
    """When the site tells it, and when a mail does, of each notice in turn."""
    rows = Notice.objects.filter(member=member).order_by("due_at")
    return [(row.due_at, row.mail_at) for row in rows]


def choose(member, kind=LATE, **fields):
    Choice.objects.update_or_create(
        member=member, kind=kind.code, defaults={"by_mail": ByMail.AT_ONCE} | fields
    )
    plan_for(member)


def wish(member, **fields):
    Wishes.objects.update_or_create(member=member, defaults={"changed_at": NOW} | fields)
    plan_for(member)


# ---- What is told before its moment comes before it ------------------------------------------
def test_mail_of_a_reminder_does_not_wait_until_its_moment_has_begun(household, member):
    """Though telling it helps as long as it lasts."""
    at, until = august(13, 16), august(13, 18)
    wish(member, daily_at=time(17))
    choose(member, kind=START, by_mail=ByMail.DAILY)
    tell(household, at, kind=START, ends_at=until, until=until)
    day_before, two_hours = at - 24 * HOUR, at - 2 * HOUR
    assert told(member) == [(day_before, day_before + HOUR), (two_hours, two_hours)]


def test_in_quiet_hours_neither(household, member):
    at, until = august(13, 6, 30), august(13, 9)
    tell(household, at, kind=START, ends_at=until, until=until)
    assert told(member)[1] == (august(13, 4, 30), august(12, 20, 59))


# ---- What is told late ----------------------------------------------------------------------
def test_told_late_comes_once_and_at_once(household, member):
    tell(household, NOW + 3 * HOUR)
    assert told(member) == [(NOW, NOW)]


def test_what_is_still_to_come_follows_what_came_late(household, member):
    tell(household, NOW + 12 * HOUR)
    assert told(member) == [(NOW, NOW), (NOW + 6 * HOUR, NOW + 6 * HOUR)]


def test_what_has_passed_already_is_not_told(household, member):
    tell(household, NOW - HOUR)
    assert told(member) == []


def test_another_choice_does_not_tell_again_what_was_told(household, member, clock):
    tell(household, NOW + 60 * HOUR)
    clock.move_to(NOW + 50 * HOUR)  # 10 hours before: told 48 hours before
    choose(member, timing=LATE.timings[1].code)  # the evening before has passed
    assert [due for due, _ in told(member)] == [NOW + 12 * HOUR]


def test_what_would_come_when_it_helps_nobody_is_left_out(household, member):
    tell(household, NOW + HOUR, kind=AFTER, until=NOW + HOUR + timedelta(minutes=10))
    assert told(member) == []
    tell(household, NOW + HOUR, kind=AFTER, until=NOW + 2 * HOUR)
    assert told(member) == [(NOW + HOUR + timedelta(minutes=10),) * 2]


# ---- Quiet hours and the one mail a day -----------------------------------------------------
def test_news_of_the_night_stand_on_the_site_and_come_by_mail_in_the_morning(
    household, member, clock
):
    clock.move_to(august(11, 23))
    tell(household, august(11, 23), kind=NEWS)
    assert told(member) == [(august(11, 23), august(12, 7))]


def test_a_reminder_of_the_night_that_cannot_wait_comes_before_the_quiet_hours(household, member):
    choose(member, timing=LATE.timings[2].code)
    tell(household, august(13, 6))
    assert told(member) == [(august(13, 4), august(12, 20, 59))]


def test_what_was_put_before_the_quiet_hours_stays_there_when_the_night_comes(
    household, member, clock
):
    choose(member, timing=LATE.timings[2].code)
    tell(household, august(13, 6))
    clock.move_to(august(12, 22))  # the mail waits, its server being away
    plan_for(member)
    assert told(member) == [(august(13, 4), august(12, 20, 59))]


def test_without_quiet_hours_mail_comes_when_it_is_due(household, member):
    wish(member, quiet=False)
    choose(member, timing=LATE.timings[2].code)
    tell(household, august(13, 6))
    assert told(member) == [(august(13, 4), august(13, 4))]


def test_the_one_mail_a_day_brings_all_but_what_cannot_wait_for_it(household, member):
    wish(member, daily_at=time(18))
    choose(member, by_mail=ByMail.DAILY)
    tell(household, august(14, 17))
    # 48 hours before is Wednesday at 17:00, an hour before the mail of that day; 6 hours before
    # is Friday at 11:00, and the mail of that day comes when all is over.
    assert told(member) == [
        (august(12, 17), august(12, 18)),
        (august(14, 11), august(14, 11)),
    ]


def test_the_one_mail_a_day_that_comes_just_at_the_end_is_not_waited_for(household, member):
    choose(member, by_mail=ByMail.DAILY, timing=LATE.timings[2].code)
    tell(household, august(14, 18))
    assert told(member) == [(august(14, 16), august(14, 16))]


def test_a_kind_for_the_one_mail_a_day_comes_in_it_unless_the_member_chose(household, member):
    tell(household, NOW, kind=DAILY)
    assert told(member) == [(NOW, august(11, 18))]
    choose(member, kind=DAILY)
    assert told(member) == [(NOW, NOW)]


# ---- Choices that change while something waits ----------------------------------------------
def test_what_waits_goes_by_the_new_choice(household, member):
    tell(household, august(15, 8))
    assert told(member)[0] == (august(13, 8), august(13, 8))
    choose(member, by_mail=ByMail.NEVER, timing=LATE.timings[1].code)
    assert told(member) == [(august(14, 18), None)]


def test_mail_chosen_later_does_not_bring_what_was_not_to_come(household, member, clock):
    choose(member, kind=NEWS, by_mail=ByMail.NEVER)
    tell(household, NOW, kind=NEWS)
    clock.move_to(NOW + 2 * HOUR)
    choose(member, kind=NEWS)
    assert told(member) == [(NOW, None)]


def test_what_waits_for_the_one_mail_a_day_comes_by_itself_once_that_is_chosen(
    household, member, clock
):
    tell(household, NOW, kind=DAILY)
    clock.move_to(NOW + HOUR)
    choose(member, kind=DAILY)
    assert told(member) == [(NOW, NOW)]  # by the next tick


def test_a_choice_for_the_site_is_about_what_is_to_come(household, member):
    keep(
        household.coop,
        "test:2",
        [
            say(household, key="now", kind=NEWS.code, at=NOW),
            say(household, key="then", kind=NEWS.code, at=NOW + HOUR),
        ],
    )
    choose(member, kind=NEWS, on_site=False)
    rows = Notice.objects.filter(member=member).order_by("due_at")
    assert [row.on_site for row in rows] == [True, False]


def test_what_waits_for_its_second_try_says_no_more_what_has_changed(household, member):
    tell(household, NOW, kind=NEWS)
    notice = Notice.objects.get(member=member)
    notice.mail = make_mail(member, notices=0, attempts=1, try_at=NOW + HOUR)
    notice.save()
    choose(member, kind=NEWS, by_mail=ByMail.NEVER)
    notice.refresh_from_db()
    assert (notice.mail, notice.mail_at) == (None, None)


def test_another_choice_about_the_site_leaves_the_mail_in_peace(household, member, clock):
    tell(household, NOW + HOUR, kind=NEWS)
    notice = Notice.objects.get(member=member)
    notice.mail = mail = make_mail(member, notices=0, attempts=1, try_at=NOW + 2 * HOUR)
    notice.save()
    choose(member, kind=NEWS, on_site=False)
    notice.refresh_from_db()
    assert (notice.mail, notice.on_site) == (mail, False)


def test_another_members_choice_changes_nothing(household, member, other_household_member):
    tell(household, august(15, 8))
    before = told(member)
    choose(other_household_member, by_mail=ByMail.NEVER)
    assert told(member) == before


def test_mail_that_waits_for_the_morning_comes_though_another_time_is_chosen(
    household, member, clock
):
    """It stands on the site already, and is not told again by the time that is chosen now."""
    clock.move_to(august(11, 23))
    tell(household, august(13, 23))
    waits = august(11, 23), august(12, 7)
    assert told(member)[0] == waits
    choose(member, timing=LATE.timings[2].code)
    assert told(member) == [waits, (august(13, 21), august(13, 20, 59))]
    choose(member, timing=LATE.timings[2].code, by_mail=ByMail.NEVER)
    assert told(member) == [(august(11, 23), None), (august(13, 21), None)]


# ---- Clocks ---------------------------------------------------------------------------------
def test_the_evening_before_a_change_of_clocks_is_at_18_00(household, member, clock):
    clock.move_to(datetime(2026, 10, 30, 12, tzinfo=DENVER))
    choose(member, timing=LATE.timings[1].code)
    tell(household, datetime(2026, 11, 1, 8, tzinfo=DENVER))
    assert [due.astimezone(DENVER).isoformat() for due, _ in told(member)] == [
        "2026-10-31T18:00:00-06:00"  # 15 hours before, by the sun
    ]


def test_a_co_op_that_moves_its_clocks_moves_what_is_due_by_them(coop, household, member):
    choose(member, timing=LATE.timings[1].code)
    tell(household, august(15, 8))
    coop.time_zone = "Europe/Lisbon"
    coop.save()
    plan_all(coop)
    lisbon = datetime(2026, 8, 14, 18, tzinfo=ZoneInfo("Europe/Lisbon"))
    assert told(member) == [(lisbon, lisbon)]


# ---- As many queries ------------------------------------------------------------------------
@pytest.mark.sqlite  # as many queries on any database
def test_planning_asks_as_often_for_ten_matters_as_for_twenty(
    household, member, django_assert_max_num_queries, django_assert_num_queries
):
    def tell_many(number):
        says = [
            say(household, key=str(n), kind=START.code, at=august(15, 8)) for n in range(number)
        ]
        keep(household.coop, "test:3", says)

    tell_many(10)
    wish(member)
    with django_assert_max_num_queries(12) as first:
        wish(member, quiet_to=time(8, 30))
    tell_many(20)
    assert Notice.objects.filter(member=member).count() == 40
    with django_assert_num_queries(len(first)):
        wish(member, quiet_to=time(8, 45))


# ---- To whom --------------------------------------------------------------------------------
def test_what_is_said_to_others_than_before_is_said_anew(
    household, member, other_household, other_household_member
):
    at = august(15, 8)
    tell(household, at)
    kept = tell(other_household, at)
    assert (kept.made, kept.changed, kept.dropped) == (1, 0, 1)
    assert told(member) == []
    assert len(told(other_household_member)) == 2
