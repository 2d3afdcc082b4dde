"""What is looked through at night, and after a change of clocks: nothing is missed or told anew."""

from datetime import time, timedelta

import pytest
from django.db import connection

from coop.notices.actions.keeping import keep
from coop.notices.kinds import ByMail
from coop.notices.membership import plan_again
from coop.notices.models import Choice, Notice, Wishes
from coop.notices.tasks import put_right_all
from coop.people import hooks
from coop.people.actions.coops import Settings, change_settings
from tests.web import factories
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import NEWS, START, know_the_kinds, say
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
NEXT_WEEK = NOW + timedelta(days=7)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def tell(to, at=NEXT_WEEK, kind=START, **fields):
    keep(to.coop, f"test:{kind.code}", [say(to, key="x", kind=kind.code, at=at, **fields)])


# ---- Two who met ----------------------------------------------------------------------------
def test_who_joined_in_the_moment_of_an_act_is_told_from_the_night_on(household, member):
    """The two did not see each other: so the row of the member is made as if behind the act."""
    tell(household)
    joined = make_member(household)
    assert put_right_all() == 1
    assert Notice.objects.filter(member=joined).count() == 2
    assert put_right_all() == 0


def test_what_was_chosen_in_the_moment_of_an_act_holds_from_the_night_on(household, member):
    tell(household)
    Choice.objects.create(member=member, kind=START.code, by_mail=ByMail.NEVER)
    assert put_right_all() == 1
    assert set(Notice.objects.values_list("mail_at", flat=True)) == {None}


# ---- Nothing is told anew -------------------------------------------------------------------
@pytest.mark.parametrize("by_mail", ByMail)
@pytest.mark.parametrize("until", [None, NEXT_WEEK + 2 * HOUR])
def test_at_no_hour_is_there_anything_to_plan_anew(household, member, clock, by_mail, until):
    """Before, while and after all is told, with letters that wait for morning or evening."""
    for kind in (NEWS, START):
        Choice.objects.create(member=member, kind=kind.code, by_mail=by_mail)
    Wishes.objects.create(
        member=member, quiet_from=time(16), quiet_to=time(10), daily_at=time(11), changed_at=NOW
    )
    tell(household, at=NOW + 5 * HOUR, kind=NEWS, until=until)
    tell(household, until=until)
    sent = 0
    for hour in range(0, 9 * 24, 3):
        clock.move_to(NOW + hour * HOUR)
        sent += len(post()) if hour % 2 else 0  # now and then the post comes late
        assert plan_again(household.coop) == 0
    assert (sent > 0) is (by_mail is not ByMail.NEVER)


# ---- Other clocks ---------------------------------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_nobody_waits_for_all_that_hangs_on_the_clocks(monkeypatch):
    """It comes after the transaction of the settings, in which the co-op is locked for all."""
    coop = factories.make_coop()
    by = make_member(factories.make_household(coop), roles=["coordinator"])
    seen = []
    monkeypatch.setattr(
        hooks,
        "zone_changed",
        [lambda coop: seen.append((coop.time_zone, connection.in_atomic_block))],
    )
    settings = {name: getattr(coop, name) for name in Settings.__dataclass_fields__}
    change_settings(Settings(**settings | {"time_zone": "Europe/Lisbon"}), by=by)
    assert seen == [("Europe/Lisbon", False)]
