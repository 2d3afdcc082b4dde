"""Who joins, leaves, is given a role or has one taken is told what concerns them from then on."""

from datetime import timedelta

import pytest

from coop.notices.actions.keeping import keep
from coop.notices.models import Notice
from coop.notices.says import Role
from coop.people.actions.coops import Settings, change_settings
from coop.people.actions.households import end_household
from coop.people.actions.invitations import join
from coop.people.actions.members import leave, set_roles
from tests.web.factories import NOW, make_invitation, make_member, make_user
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_notice, say

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
NEXT_WEEK = NOW + timedelta(days=7)
LEADS = [NEXT_WEEK - 24 * HOUR, NEXT_WEEK - 2 * HOUR]


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def tell(to, coop, at=NEXT_WEEK, kind=START):
    keep(coop, f"test:{kind.code}", [say(to, key="x", kind=kind.code, at=at)])


def due(member):
    rows = Notice.objects.filter(member=member, matter__dropped_at=None)
    return sorted(rows.values_list("due_at", flat=True))


# ---- Joining --------------------------------------------------------------------------------
def test_who_joins_a_household_is_told_what_it_is_told(coop, household, member):
    tell(household, coop)
    user = make_user("Kit")
    invitation = make_invitation(member, user.email, household=household)
    joined = join(invitation, by=user)
    assert due(joined) == due(member) == LEADS


def test_who_joins_is_not_told_what_was_before(coop, household, member, clock):
    tell(household, coop, at=NOW, kind=NEWS)
    clock.move_to(NOW + 25 * HOUR)
    user = make_user("Kit")
    joined = join(make_invitation(member, user.email, household=household), by=user)
    assert due(joined) == []


def test_who_joins_with_a_role_is_told_what_it_brings(coop, coordinator):
    tell(Role("steward"), coop)
    user = make_user("Kit")
    invitation = make_invitation(coordinator, user.email, steward=True)
    assert due(join(invitation, by=user)) == LEADS


# ---- Leaving --------------------------------------------------------------------------------
def test_who_leaves_is_told_no_more_and_the_others_are(coop, coordinator, household, member):
    second = make_member(household)
    tell(household, coop)
    leave(second.pk, by=second)
    assert due(second) == []
    assert due(member) == LEADS


def test_what_who_leaves_was_told_stays_and_brings_no_mail(
    coop, coordinator, household, member, clock
):
    second = make_member(household)
    clock.move_to(NOW + 14 * HOUR)  # 23:00: the mail waits for the morning
    tell(household, coop, at=NOW + 14 * HOUR, kind=NEWS)
    leave(second.pk, by=second)
    assert Notice.objects.get(member=second).mail_at is None
    assert Notice.objects.get(member=member).mail_at


def test_a_household_that_ends_is_told_no_more(coop, coordinator, household, member):
    second = make_member(household)
    tell(household, coop)
    end_household(household.pk, by=member)
    assert due(member) == due(second) == []


# ---- Roles ----------------------------------------------------------------------------------
def test_a_role_brings_what_is_told_to_it(coop, coordinator, member):
    tell(Role("steward"), coop)
    assert due(member) == []
    set_roles(member.pk, ["steward"], by=coordinator)
    assert due(member) == LEADS


def test_a_role_that_goes_takes_what_is_to_come_along(coop, coordinator, clock):
    steward = make_member(coordinator.household, roles=["steward"])
    tell(Role("steward"), coop)
    clock.move_to(NEXT_WEEK - 20 * HOUR)
    set_roles(steward.pk, [], by=coordinator)
    assert due(steward) == LEADS[:1]  # what was shown stays shown


def test_a_role_that_comes_back_brings_no_mail_of_what_was_before(coop, coordinator, clock):
    steward = make_member(coordinator.household, roles=["steward"])
    clock.move_to(NOW + 14 * HOUR)
    tell(Role("steward"), coop, at=NOW + 14 * HOUR, kind=NEWS)
    set_roles(steward.pk, [], by=coordinator)
    set_roles(steward.pk, ["steward"], by=coordinator)
    assert Notice.objects.get(member=steward).mail_at is None


def test_what_a_role_is_told_another_role_is_not(coop, coordinator, treasurer, member):
    tell(Role("treasurer"), coop)
    set_roles(member.pk, ["host"], by=coordinator)
    assert due(treasurer) == LEADS
    assert due(member) == due(coordinator) == []


def test_another_co_op_of_the_same_person_is_left_alone(coop, coordinator, member, outsider):
    make_notice(outsider, due_at=NOW + HOUR)
    here = make_member(coordinator.household, user=outsider.user)
    leave(here.pk, by=here)
    assert due(outsider) == [NOW + HOUR]


# ---- Clocks ---------------------------------------------------------------------------------
def test_other_clocks_move_quiet_hours(coop, coordinator, household, member):
    late_evening = NOW + 11 * HOUR  # 20:00 in Denver, 3:00 in Lisbon
    tell(household, coop, at=late_evening, kind=NEWS)
    mail = Notice.objects.filter(member=member).values_list("mail_at", flat=True)
    assert mail.get() == late_evening
    settled = Settings(coop.name, "Europe/Lisbon", coop.currency, 5430, 5, 70)
    change_settings(settled, by=coordinator)
    assert mail.get() == late_evening + 4 * HOUR  # 7:00 in Lisbon
