"""Due notices become letters, and each letter has one carrier."""

from datetime import timedelta

import pytest

from coop.notices.models import Mail
from tests.web.factories import NOW
from tests.web.notice_factories import know_the_kinds, make_notice
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


def test_all_that_is_due_to_a_member_comes_in_one_letter(member, other_household_member):
    for _ in range(3):
        make_notice(member)
    make_notice(other_household_member)
    assert sorted(letter.to for letter in post()) == sorted(
        [[member.user.email], [other_household_member.user.email]]
    )
    assert Mail.objects.filter(sent_at=NOW).count() == 2


def test_what_was_sent_is_not_sent_again(member):
    make_notice(member)
    assert len(post()) == 1
    assert post() == []


def test_what_is_not_due_waits(member, clock):
    make_notice(member, mail_at=NOW + timedelta(minutes=1))
    assert post() == []
    clock.shift(60)
    assert len(post()) == 1
