"""Due notices become letters, and each letter has one carrier at a time."""

import threading
import uuid
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connections
from django.utils import timezone

from coop.core.reminders import before
from coop.notices.mailing.claiming import (
    LETTERS_AT_ONCE,
    claim,
    exchange,
    gather,
    give_back,
    renew,
)
from coop.notices.models import Mail, Notice
from coop.people.models import Member
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import START, know_the_kinds, make_mail, make_matter, make_notice
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
SOON = NOW + timedelta(hours=1)


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


# ---- From notices to letters ----------------------------------------------------------------
def test_all_that_is_due_to_a_member_comes_in_one_letter(member, other_household_member):
    for _ in range(3):
        make_notice(member)
    make_notice(other_household_member)
    expected = {member.user.email, other_household_member.user.email}
    assert [letter.to for letter in post()] == [[each] for each in sorted(expected)]
    assert not Notice.objects.exclude(mail__sent_at=NOW).exists()


def test_what_a_person_wrote_keeps_its_subject(member, other_household_member):
    written = make_matter(member.household, kind="written", title="Bring sacks")
    make_notice(member, matter=written)
    make_notice(other_household_member, matter=written)
    make_notice(member)
    make_notice(member)
    assert gather(NOW) == 4
    subjects = [letter.subject for letter in post()]
    assert len(subjects) == 3
    assert subjects.count("Bring sacks") == 2


def test_what_was_sent_is_not_sent_again(member):
    make_notice(member)
    assert len(post()) == 1
    assert post() == []


def test_what_is_not_due_waits(member, clock):
    make_notice(member, mail_at=NOW + timedelta(minutes=1))
    assert post() == []
    clock.shift(60)
    assert len(post()) == 1


@pytest.mark.parametrize("fields", [{"mail_at": None}, {"too_late_at": NOW}])
def test_what_wants_no_mail_gets_none(member, fields):
    make_notice(member, **fields)
    assert post() == []


def test_a_matter_that_was_dropped_and_a_member_who_left_get_no_letter(member):
    make_notice(member, matter=make_matter(member, dropped_at=NOW))
    make_notice(make_member(left_at=NOW))
    assert post() == []
    assert not Mail.objects.exists()


def test_a_reminder_whose_moment_has_passed_is_marked_as_too_late(member):
    matter = make_matter(member, kind=START.code, at=NOW)
    notice = make_notice(member, matter=matter, lead=before(hours=2).code)
    assert post() == []
    notice.refresh_from_db()
    assert notice.too_late_at == NOW


def test_news_are_never_too_late_unless_they_say_so(member):
    make_notice(member, matter=make_matter(member, at=NOW - timedelta(days=2), title="Old news"))
    make_notice(member, matter=make_matter(member, until=NOW, title="Past its time"))
    (letter,) = post()
    assert letter.subject == "Old news"


# ---- Who carries a letter -------------------------------------------------------------------
def test_a_letter_that_somebody_holds_is_not_claimed(member):
    make_mail(member)
    token = claim(NOW)
    assert claim(NOW) is None
    give_back(token)
    assert claim(NOW) not in {None, token}


def test_a_lease_ends_where_nobody_took_the_letter_up(member, settings):
    make_mail(member)
    claim(NOW)
    seconds = timedelta(seconds=settings.MAIL_LEASE_SECONDS)
    assert claim(NOW + seconds - timedelta(seconds=1)) is None
    assert claim(NOW + seconds)


def test_letters_are_handed_out_in_batches(member):
    for _ in range(LETTERS_AT_ONCE + 1):
        make_mail(member, notices=0)
    tokens = [claim(NOW), claim(NOW)]
    counts = [Mail.objects.filter(token=token).count() for token in tokens]
    assert counts == [LETTERS_AT_ONCE, 1]


@pytest.mark.parametrize("fields", [{"try_at": SOON}, {"sent_at": NOW}, {"refused_at": NOW}])
def test_a_letter_that_waits_or_has_ended_is_not_claimed(member, fields):
    make_mail(member, **fields)
    assert claim(NOW) is None


def test_of_two_messages_with_one_token_one_finds_nothing(member):
    make_mail(member)
    token, first, second = claim(NOW), uuid.uuid4(), uuid.uuid4()
    assert exchange(token, first, NOW)
    assert not exchange(token, second, NOW)


def test_an_exchange_whose_answer_was_lost_may_be_asked_for_again(member):
    make_mail(member)
    token, mine = claim(NOW), uuid.uuid4()
    assert exchange(token, mine, NOW)
    assert exchange(token, mine, NOW)


def test_a_lost_lease_cannot_be_renewed(member, settings):
    make_mail(member)
    late = NOW + timedelta(seconds=settings.MAIL_LEASE_SECONDS)
    lost = claim(NOW)
    other = claim(late)
    assert not renew(lost, late + timedelta(hours=1))
    assert renew(other, late + timedelta(hours=1))


# ---- Several at once ------------------------------------------------------------------------
def all_at_once(count, act):
    barrier = threading.Barrier(count, timeout=20)

    def run(_):
        try:
            barrier.wait()
            return act()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(run, range(count)))


@pytest.mark.django_db(transaction=True)
def test_two_ticks_at_once_make_one_letter_a_member(coop):
    members = [make_member() for _ in range(12)]
    for member in members * 2:
        make_notice(member)
    gathered = all_at_once(2, lambda: gather(timezone.now()))
    gathered.append(gather(timezone.now()))
    assert sum(gathered) == 2 * len(members)
    assert Mail.objects.count() == Member.objects.count() == len(members)


@pytest.mark.django_db(transaction=True)
def test_claims_at_once_hold_no_letter_in_common(coop):
    for _ in range(2 * LETTERS_AT_ONCE):
        make_mail(notices=0)
    tokens = all_at_once(4, lambda: claim(timezone.now()))
    held = Mail.objects.exclude(token=None).values_list("token", flat=True)
    assert set(held) == set(filter(None, tokens))
    assert sum(token is not None for token in tokens) >= 2
