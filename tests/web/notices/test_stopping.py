"""One click in a letter stops the kinds that it carries, and each can be turned on again."""

from datetime import timedelta

import pytest
from django.core import signing
from django.test import Client

from coop.notices.actions.choices import resume_mail, stop_mail
from coop.notices.actions.keeping import keep
from coop.notices.kinds import ByMail
from coop.notices.mailing.stopping import SALT, stop_address, token_of
from coop.notices.models import Choice, Notice
from tests.web.factories import NOW
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_mail, make_notice, say
from tests.web.notices.letter_reading import composed, read_back, stop_address_of
from tests.web.notices.postman import post
from tests.web.reading import main_of as page_of

pytestmark = pytest.mark.django_db
TOMORROW, ONE_CLICK = NOW + timedelta(days=1), {"List-Unsubscribe": "One-Click"}
BOTH = [NEWS.code, START.code]


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def program():
    """A mail program: it keeps no cookie, and no form of ours gave it a token."""
    return Client(enforce_csrf_checks=True)


def path_of(member, kinds):
    return f"/stop-mail/{token_of(member, kinds)}/"


def stopped(member):
    return set(Choice.objects.filter(member=member, by_mail="never").values_list("kind", flat=True))


# ---- The click ------------------------------------------------------------------------------
@pytest.mark.parametrize("form", ["application/x-www-form-urlencoded", "multipart/form-data"])
def test_the_click_of_a_mail_program_stops_it_at_once(member, program, settings, form):
    """RFC 8058, 3.1 and 3.2: the address of the header, one POST, no cookie, no redirect."""
    address = stop_address_of(read_back(composed(make_mail(member))))
    if form.startswith("multipart"):
        answer = program.post(address.removeprefix(settings.SITE_ADDRESS), ONE_CLICK)
    else:
        path = address.removeprefix(settings.SITE_ADDRESS)
        answer = program.post(path, "List-Unsubscribe=One-Click", content_type=form)
    assert answer.status_code == 200
    assert not answer.cookies
    assert stopped(member) == {NEWS.code}


def test_a_letter_with_two_kinds_stops_these_two(member, program):
    mail = make_mail(member)
    other = make_notice(member, mail=mail).matter
    other.kind = START.code
    other.save(update_fields=["kind"])
    program.post(stop_address_of(read_back(composed(mail))).removeprefix("http://localhost"))
    assert stopped(member) == set(BOTH)


def test_it_stops_nobody_elses_mail(member, other_household_member, program):
    program.post(path_of(member, BOTH), ONE_CLICK)
    assert stopped(other_household_member) == set()


def test_a_second_click_does_no_harm(member, program):
    for _ in range(2):
        assert program.post(path_of(member, BOTH), ONE_CLICK).status_code == 200
    assert Choice.objects.count() == 2


def test_a_look_changes_nothing(member, program):
    """Programs that look for harmful links open every one of them."""
    for look in (program.get, program.head):
        assert look(path_of(member, BOTH)).status_code == 200
    assert not Choice.objects.exists()


@pytest.mark.parametrize("method", ["get", "post"])
def test_an_address_that_is_not_whole_stops_nothing(member, program, method):
    forged = signing.Signer(salt="another").sign_object([member.pk, NEWS.code])
    of_nobody = signing.Signer(salt=SALT).sign_object([999_999, NEWS.code])
    for token in ("x", token_of(member, BOTH)[:-1], forged, of_nobody):
        answer = getattr(program, method)(f"/stop-mail/{token}/")
        assert answer.status_code == 404
        assert "Nothing was stopped" in answer.content.decode()
    assert not Choice.objects.exists()


# ---- The page -------------------------------------------------------------------------------
def test_the_page_names_the_kinds_and_has_the_button(member, program):
    page = page_of(program.get(path_of(member, BOTH)))
    assert [title.text for title in page.select(".row-title")] == [NEWS.words, START.words]
    assert page.select_one(".button-main").text == "Stop mail of these 2 kinds"
    assert "Mail from Cottonwood Larder to Ines Castell." in page.text


def test_the_button_stops_and_the_page_says_which(member, program):
    form = page_of(program.get(path_of(member, BOTH))).select_one("form:has(.button-main)")
    page = page_of(program.post(form["action"]))
    assert page.h1.text == "This mail is stopped"
    assert [line.text.strip() for line in page.select(".row-line")] == ["no mail", "no mail"]
    assert page.select_one(".button-main") is None


def test_each_kind_can_be_turned_on_again(member, program):
    page = page_of(program.post(path_of(member, BOTH)))
    button = page.select_one(f"button[value={START.code}]")
    answer = program.post(button.parent["action"], {"kind": button["value"]})
    assert answer.url == path_of(member, BOTH)
    assert stopped(member) == {NEWS.code}
    page = page_of(program.get(answer.url))
    assert page.select_one(".button-main").text == "Stop the other one too"
    assert page.select_one("#status").text.strip() == "It is on again."
    assert "It is on again." not in page_of(program.get(answer.url)).text


def test_the_address_of_a_letter_turns_on_no_other_kind(member, program):
    stop_mail(member, BOTH)
    program.post(f"{path_of(member, [NEWS.code])}again/", {"kind": START.code})
    assert stopped(member) == set(BOTH)


def test_who_left_is_told_that_nothing_comes(member, program):
    member.left_at = NOW
    member.save(update_fields=["left_at"])
    answer = program.post(path_of(member, BOTH), ONE_CLICK)
    assert answer.status_code == 200
    assert "no longer a member of Cottonwood Larder" in page_of(answer).text


def test_a_kind_that_is_no_more_is_stopped_already(member, program):
    answer = program.post(path_of(member, ["of_old"]), ONE_CLICK)
    assert answer.status_code == 200
    assert not Choice.objects.exists()


def test_the_address_of_many_kinds_still_fits_in_a_header(member):
    """RFC 5322, 2.1.1: 998 characters in a line."""
    address = stop_address(member, [f"a_kind_of_notices_{number}" for number in range(40)])
    assert len(address) < 900


# ---- What waits -----------------------------------------------------------------------------
def test_what_waits_to_go_out_by_mail_stays_on_the_site_alone(coop, household, member, clock):
    keep(coop, "test:1", [say(household, key="start", kind=START.code, at=TOMORROW)])
    keep(coop, "test:2", [say(household)])
    stop_mail(member, [START.code])
    clock.move_to(TOMORROW - timedelta(hours=2))
    assert [letter.subject for letter in post()] == [
        Notice.objects.get(matter__kind=NEWS.code).matter.title
    ]
    waiting = Notice.objects.filter(matter__kind=START.code)
    assert [(row.on_site, row.mail_at) for row in waiting] == [(True, None), (True, None)]


def test_a_letter_that_waits_for_its_next_try_says_it_no_more(member):
    mail = make_mail(member, notices=2, try_at=NOW + timedelta(minutes=4))
    kept, other = mail.notices.all()
    other.matter.kind = START.code
    other.matter.save(update_fields=["kind"])
    stop_mail(member, [NEWS.code])
    assert list(mail.notices.all()) == [other]
    assert Notice.objects.get(pk=kept.pk).mail_at is None


def test_on_again_what_is_still_to_come_goes_out_by_mail(coop, household, member, clock):
    keep(coop, "test:1", [say(household, key="start", kind=START.code, at=NOW + timedelta(days=2))])
    stop_mail(member, [START.code])
    resume_mail(member, START.code)
    clock.move_to(NOW + timedelta(days=1))
    assert len(post()) == 1


def test_on_again_brings_back_no_old_letters(coop, household, member, clock):
    stop_mail(member, [NEWS.code])
    keep(coop, "test:1", [say(household)])
    clock.shift(3600)
    resume_mail(member, NEWS.code)
    assert post() == []


def test_what_else_a_member_chose_of_the_kind_stays(member):
    chosen = {"timing": "-360m", "on_site": False, "calendar": "silent"}
    Choice.objects.create(member=member, kind=START.code, by_mail=ByMail.DAILY, **chosen)
    stop_mail(member, [START.code])
    resume_mail(member, START.code)
    after = Choice.objects.get()
    assert {name: getattr(after, name) for name in chosen} == chosen
    assert after.by_mail == START.by_mail


def test_on_again_leaves_mail_that_comes_as_it_comes(member):
    Choice.objects.create(member=member, kind=NEWS.code, by_mail=ByMail.DAILY)
    resume_mail(member, NEWS.code)
    assert Choice.objects.get().by_mail == ByMail.DAILY
