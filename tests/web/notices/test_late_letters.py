"""A letter that comes later than it was meant to: not at night, and not before all else."""

from datetime import time, timedelta

import pytest

from coop.notices.mailing import carrier
from coop.notices.mailing.carrier import carry
from coop.notices.mailing.claiming import claim
from coop.notices.models import Mail, Notice, Wishes
from coop.notices.queries.told_states import how
from tests.web.factories import NOW
from tests.web.notice_factories import (
    NEWS,
    know_the_kinds,
    make_mail,
    make_matter,
    make_notice,
)
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
EVENING = NOW + 9 * HOUR  # 18:00 in Denver
NIGHT = NOW + 14 * HOUR  # 23:00
MORNING = NOW + 22 * HOUR  # 7:00, when quiet hours end


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def late(member, **matter):
    """Due in the evening, while no worker ran."""
    about = make_matter(member, **{"at": EVENING} | matter)
    return make_notice(member, matter=about, due_at=EVENING, mail_at=EVENING)


# ---- Not at night ---------------------------------------------------------------------------
def test_what_nobody_sent_in_the_evening_comes_in_the_morning(member, clock):
    late(member)
    clock.move_to(NIGHT)
    assert post() == []
    mail = Mail.objects.get()
    assert (mail.try_at, mail.attempts, mail.token) == (MORNING, 0, None)
    (line, *_) = how(Notice.objects.select_related("matter", "mail").get(), NEWS, NIGHT).lines
    assert (line.words, line.at) == ("mail waits until", MORNING)
    clock.move_to(MORNING)
    assert len(post()) == 1


def test_a_letter_tried_again_waits_for_the_morning_too(member, clock):
    clock.move_to(NIGHT)
    mail = make_mail(member, notices=0, try_at=NIGHT, attempts=3)
    about = make_matter(member, at=EVENING)
    make_notice(member, matter=about, mail=mail, due_at=EVENING, mail_at=EVENING)
    assert post() == []


def test_what_cannot_wait_until_morning_goes_out(member, clock):
    late(member, until=MORNING)
    clock.move_to(NIGHT)
    assert len(post()) == 1


def test_who_wants_no_quiet_hours_gets_it_at_once(member, clock):
    Wishes.objects.create(member=member, quiet=False, changed_at=NOW)
    late(member)
    clock.move_to(NIGHT)
    assert len(post()) == 1


def test_quiet_hours_are_the_members_own(member, clock):
    Wishes.objects.create(member=member, quiet_from=time(23, 30), quiet_to=time(7), changed_at=NOW)
    late(member)
    clock.move_to(NIGHT)
    assert len(post()) == 1


def test_what_was_planned_for_the_night_goes_out_in_it(member, clock):
    clock.move_to(NIGHT)
    make_notice(member)
    assert len(post()) == 1


# ---- Not before all else --------------------------------------------------------------------
def test_a_batch_that_takes_too_long_leaves_the_rest_to_the_next(member, monkeypatch):
    """The workers have offers to let lapse, and shares to put on the spare table."""
    for _ in range(3):
        make_mail()
    monkeypatch.setattr(carrier, "BATCH_SECONDS", -1.0)
    carry(claim(NOW))
    assert Mail.objects.filter(token=None, sent_at=None, try_at=NOW).count() == 3
