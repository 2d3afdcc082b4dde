"""The demo's notices: as if the site had run all season, and nothing old goes out once it does."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import resolve
from django.utils import timezone

from coop.notices.actions.keeping import LONGEST
from coop.notices.mailing.claiming import gather
from coop.notices.models import Mail, Matter, Notice, Writing
from coop.notices.queries.inbox import to_read
from coop.notices.queries.unreached import unreached_in
from coop.notices.sources import put_right
from coop.people.models import Coop, Member
from tests.web.notices.plain_words import unsaid

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # test_the_demo loads it on both
NAMED = ("nora", "cal", "ines", "hattie", "per")


def whom(matter: Matter) -> Member:
    """Somebody whom it is told."""
    if matter.member:
        return matter.member
    members = Member.objects.filter(coop=matter.coop, left_at=None)
    if matter.household_id:
        return members.filter(household=matter.household_id)[0]
    return members.filter(**{matter.role: True})[0]


def test_a_season_of_acts_leaves_nothing_to_put_right(demo: Coop) -> None:
    assert Matter.objects.filter(dropped_at=None).count() > 100
    assert put_right(demo) == {}


def test_nothing_old_is_sent_once_the_site_runs(demo: Coop) -> None:
    assert gather(timezone.now()) == 0
    assert not Mail.objects.filter(sent_at=None, refused_at=None).exists()
    assert Notice.objects.filter(mail_at__gt=timezone.now()).count() > 20  # and more is to come


def test_letters_went_out_when_they_were_due_one_to_a_member_at_a_time(demo: Coop) -> None:
    sent = list(Mail.objects.filter(sent_at__isnull=False).values_list("member", "sent_at"))
    assert len(sent) > 200
    assert Counter(sent).most_common(1)[0][1] == 1
    for notice in Notice.objects.filter(mail__isnull=False).select_related("mail"):
        assert notice.mail
        assert notice.mail_at
        delay = notice.mail.made_at - notice.mail_at
        assert timedelta() <= delay < timedelta(minutes=1), notice
    assert any(mail.notices.count() > 1 for mail in Mail.objects.all())


def test_a_few_have_something_to_read_and_all_else_was_read(demo: Coop) -> None:
    now = timezone.now()
    left = {
        member.user.email.partition("@")[0]: list(to_read(member, now))
        for member in Member.objects.filter(coop=demo).select_related("user")
    }
    assert {name for name, notices in left.items() if notices} == set(NAMED)
    for notices in left.values():
        assert len(notices) <= 4
        assert all(now - each.due_at <= timedelta(days=3) for each in notices)
    assert not Notice.objects.filter(read_at__gt=now).exists()


def test_mail_does_not_reach_one_member(demo: Coop) -> None:
    [unreached] = unreached_in(demo)
    refused = Mail.objects.filter(refused_at__isnull=False)
    assert {mail.member for mail in refused} == {unreached.member}
    for mail in refused:
        assert mail.trouble.startswith("550 5.1.1 ")  # RFC 3463: bad destination mailbox address
        assert mail.seen_at is None


def test_the_coordinator_wrote_about_the_corn(demo: Coop) -> None:
    writing = Writing.objects.get(coop=demo)
    assert writing.by.name == "Nora Abelard"
    households = demo.households.filter(left_at=None).count()
    assert Matter.objects.filter(about=f"writing:{writing.pk}").count() == households


def test_what_is_said_is_whole_plain_and_leads_where_it_is_done(demo: Coop) -> None:
    said = Matter.objects.select_related("coop", "household", "member")
    assert len({matter.kind for matter in said}) >= 15
    for matter in said:
        for name, longest in LONGEST.items():
            assert len(getattr(matter, name)) < longest, (name, matter)
        assert matter.to_do.endswith((".", "?", ".”")), matter.to_do
        assert not matter.title.endswith("."), matter.title
        lines = [] if matter.kind == "written" else matter.details  # people write as they like
        for text in (matter.title, matter.to_do, matter.button, *lines):
            assert not unsaid(text), text


def test_the_page_of_every_kind_of_matter_is_there_for_who_is_told(demo: Coop) -> None:
    standing = Matter.objects.filter(dropped_at=None).order_by("kind", "path")
    places = {(each.kind, resolve(each.path).view_name): each for each in standing}
    assert len(places) >= 12
    for matter in places.values():
        client = Client()
        client.force_login(whom(matter).user)
        answer = client.get(matter.path, follow=True)
        assert answer.status_code == 200, (matter.kind, matter.path)
