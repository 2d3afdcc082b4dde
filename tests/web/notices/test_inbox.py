"""Notices on the site: what is to read, what was, how many, and what opening one does."""

from datetime import timedelta

import pytest

from coop.notices.kinds import AT_ONCE, Kind, declare
from coop.notices.membership import plan_for
from coop.notices.models import Notice
from tests.web.factories import NOW, make_member
from tests.web.notice_factories import START, know_the_kinds, make_mail, make_matter, make_notice
from tests.web.notices.postman import post
from tests.web.reading import sections_of

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
DUE = Kind("test_due", "Tests", "Something has a row on This week", AT_ONCE, on_this_week=True)
ELSEWHERE = Kind("test_elsewhere", "Tests", "Said by This week", AT_ONCE, in_inbox=False)
PAGE = "/cottonwood/notices/"


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()
    declare(ELSEWHERE, DUE)


def notice(member, title, *, hours_ago=0, **fields):
    """A notice of a matter with a title; `matter__` before a field is one of the matter's."""
    about = {name[8:]: fields.pop(name) for name in list(fields) if name.startswith("matter__")}
    due_at = NOW - hours_ago * HOUR
    matter = make_matter(member.household, title=title, **{"at": due_at} | about)
    return make_notice(member, matter=matter, due_at=due_at, **fields)


def text(client, address=PAGE):
    return sections_of(client.get(address))


# ---- What is shown --------------------------------------------------------------------------
def test_a_notice_says_what_when_and_where_to_do_it(as_member, member):
    notice(member, "Sweet corn: asks close", hours_ago=2, matter__button="Say how much")
    said = text(as_member)["To read"]
    assert "Sweet corn: asks close" in said
    assert "Fetch them from the barn. Told today at 7:00 Say how much :" in said


def test_what_another_of_the_household_is_told_is_not_shown(as_member, member, household):
    """It may be told to a role that they have, or be read by the one and not by the other."""
    theirs = notice(make_member(household), "Corn")
    assert "Corn" not in as_member.get(PAGE).content.decode()
    assert as_member.post(f"{PAGE}{theirs.pk}/open/").status_code == 404


def test_what_is_to_read_stands_before_what_was_read_each_by_date(as_member, member):
    for title, hours, read_at in (
        ("Plums", 1, NOW),
        ("Beans", 3, None),
        ("Corn", 2, None),
        ("Pears", 4, NOW),
    ):
        notice(member, title, hours_ago=hours, read_at=read_at)
    page = as_member.get(PAGE).content.decode()
    places = [page.index(f'row-title">{title}') for title in ("Corn", "Beans", "Plums", "Pears")]
    assert places == sorted(places)


def test_what_is_still_to_come_and_what_is_not_for_the_site_are_not_shown(as_member, member):
    notice(member, "Tomorrow", hours_ago=-1)
    notice(member, "Mail alone", on_site=False)
    notice(member, "On This week", matter__kind=ELSEWHERE.code)
    assert "Nothing yet" in text(as_member)


def test_another_members_notices_are_theirs(as_other_household_member, member):
    notice(member, "Plums")
    assert "Plums" not in str(text(as_other_household_member))


def test_a_matter_that_is_told_twice_stands_once_with_its_latest_notice(as_member, member):
    matter = make_matter(member.household, title="Pickup", kind=START.code, at=NOW + HOUR)
    for hours, read_at in ((23, NOW - 20 * HOUR), (1, None)):
        make_notice(
            member, matter=matter, lead=f"-{hours}h", due_at=NOW - hours * HOUR, read_at=read_at
        )
    said = text(as_member)
    assert "Read or over" not in said
    assert "Told today at 8:00" in said["To read"]


@pytest.mark.parametrize(
    ("fields", "state"),
    (
        ({"matter__dropped_at": NOW, "matter__at": NOW + HOUR}, "no longer so"),
        ({"matter__dropped_at": NOW}, "over"),  # news that were so
        ({"matter__until": NOW - HOUR}, "over"),
        ({"matter__at": NOW - HOUR, "hours_ago": 5}, "over"),  # it told what was to come
    ),
)
def test_what_has_gone_or_passed_need_not_be_read(as_member, member, fields, state):
    notice(member, "Plums", **fields)
    said = text(as_member)
    assert f"Plums {state}" in said["Read or over"]
    assert "To read" not in said


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("read_at", (None, NOW))
def test_what_can_be_done_no_more_has_a_way_to_its_page_alone(as_member, member, read_at):
    button = {"matter__button": "Mark it as paid"}
    notice(member, "Plums", matter__dropped_at=NOW, read_at=read_at, **button)
    notice(member, "Corn", hours_ago=5, matter__at=NOW - HOUR, read_at=read_at, **button)
    said = text(as_member)["Read or over"]
    assert "Mark it as paid" not in said
    assert said.count("Open its page") == 2
    notice(member, "Pears", read_at=NOW, **button)
    assert "Mark it as paid : Pears" in text(as_member)["Read or over"]


def test_what_was_read_and_is_no_longer_so_is_marked_like_what_was_not(as_member, member):
    for title, read_at in (("Plums", NOW), ("Beans", None)):
        gone = {"matter__dropped_at": NOW, "matter__at": NOW + HOUR, "matter__button": "Ask"}
        notice(member, title, read_at=read_at, **gone)
    said = text(as_member)["Read or over"]
    assert "Plums no longer so" in said
    assert "Beans no longer so" in said
    assert "Ask" not in said


def test_what_lasts_still_is_not_over(as_member, member):
    notice(member, "Pickup", hours_ago=5, matter__at=NOW - HOUR, matter__ends_at=NOW + HOUR)
    assert "Pickup" in text(as_member)["To read"]


# ---- Reading --------------------------------------------------------------------------------
def test_opening_a_notice_leads_to_its_page_and_reads_it(as_member, member):
    opened = notice(member, "Plums", matter__path="/cottonwood/buys/7/")
    answer = as_member.post(f"{PAGE}{opened.pk}/open/")
    assert (answer.status_code, answer.url) == (302, "/cottonwood/buys/7/")
    opened.refresh_from_db()
    assert opened.read_at == NOW


def test_opening_reads_what_was_told_of_the_same_matter_before_and_nothing_else(as_member, member):
    first = notice(member, "Plums", hours_ago=20)
    last = make_notice(member, matter=first.matter, lead="later")
    other = notice(member, "Beans")
    as_member.post(f"{PAGE}{last.pk}/open/")
    unread = Notice.objects.filter(read_at=None)
    assert list(unread) == [other]


def test_a_notice_opened_again_keeps_when_it_was_read(as_member, member):
    before = notice(member, "Plums", hours_ago=20, read_at=NOW - HOUR)
    as_member.post(f"{PAGE}{before.pk}/open/")
    before.refresh_from_db()
    assert before.read_at == NOW - HOUR


def test_what_was_read_before_its_mail_went_out_is_not_mailed(as_member, member):
    """Nor after another choice of when mail comes."""
    daily = notice(member, "Plums", mail_at=NOW + 9 * HOUR)
    sent = make_mail(member)
    as_member.post(f"{PAGE}read/")
    daily.refresh_from_db()
    assert (daily.read_at, daily.mail_at) == (NOW, None)
    plan_for(member)
    daily.refresh_from_db()
    assert daily.mail_at is None
    assert [letter.to for letter in post()] == [[member.user.email]]  # what was a letter already
    sent.refresh_from_db()
    assert sent.sent_at


def test_a_page_elsewhere_is_not_led_to(as_member, member):
    odd = notice(member, "Plums", matter__path="//elsewhere.example/")
    assert as_member.post(f"{PAGE}{odd.pk}/open/").url == "/elsewhere.example/"


def test_nobody_opens_anothers_notice_nor_one_that_is_to_come(
    as_other_household_member, as_member, member
):
    theirs, later = notice(member, "Plums"), notice(member, "Beans", hours_ago=-1)
    assert as_other_household_member.post(f"{PAGE}{theirs.pk}/open/").status_code == 404
    assert as_member.post(f"{PAGE}{later.pk}/open/").status_code == 404
    assert as_member.get(f"{PAGE}{theirs.pk}/open/").status_code == 405
    assert not Notice.objects.exclude(read_at=None).exists()


def test_all_read_reads_all_of_the_member_that_stood_on_the_page(
    as_member, member, other_household_member, clock
):
    mine, theirs = notice(member, "Plums"), notice(other_household_member, "Plums")
    shown_at = as_member.get(PAGE).context["shown_at"]
    clock.shift(HOUR)
    came = notice(member, "Beans", hours_ago=-0.5)
    as_member.post(f"{PAGE}read/", {"shown_at": shown_at})
    assert set(Notice.objects.filter(read_at=None)) == {theirs, came}
    as_member.post(f"{PAGE}read/", {"shown_at": "2026-99-99"})
    assert set(Notice.objects.filter(read_at=None)) == {theirs}
    assert Notice.objects.get(pk=mine.pk).read_at == NOW + HOUR


# ---- How many -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_the_bar_of_places_says_how_many_there_are_to_read(as_member, member):
    assert "to read" not in as_member.get("/cottonwood/buys/").content.decode()
    for title in ("Plums", "Beans"):
        notice(member, title)
    notice(member, "Pears", read_at=NOW)
    page = as_member.get("/cottonwood/buys/").content.decode()
    assert page.count(", 2 notices to read") == 2  # beside This week, and under More


@pytest.mark.sqlite  # about the page alone
def test_this_week_shows_five_and_says_how_many_more(as_member, member):
    for number in range(12):
        notice(member, f"Plums {number:02}", hours_ago=number)
    panel = text(as_member, "/cottonwood/")["Notices"]
    assert "Plums 04" in panel
    assert "Plums 05" not in panel
    assert "All notices: 12 to read" in panel


@pytest.mark.sqlite  # about the page alone
def test_this_week_leaves_out_what_it_has_rows_for_and_counts_it_all_the_same(as_member, member):
    for number in range(6):
        notice(member, f"Pickup {number}", matter__kind=DUE.code)
    notice(member, "Plums", hours_ago=1)
    panel = text(as_member, "/cottonwood/")["Notices"]
    assert "Plums" in panel
    assert "Pickup" not in panel
    assert "All notices: 7 to read" in panel
    assert "(7)" not in str(said := text(as_member))
    assert "Pickup 5" in said["To read"]
    Notice.objects.filter(matter__title="Plums").update(read_at=NOW)
    panel = text(as_member, "/cottonwood/")["Notices"]
    assert "stands on this page already. All notices: 6 to read" in panel


@pytest.mark.sqlite  # about the page alone
def test_this_week_without_any_says_nothing_of_them(as_member, member):
    notice(member, "Plums", read_at=NOW)
    assert "Notices" not in text(as_member, "/cottonwood/")


@pytest.mark.sqlite  # as many queries on any database
def test_300_notices_are_paged_and_cost_no_more_queries_than_ten(
    as_member, member, django_assert_num_queries, django_assert_max_num_queries
):
    for number in range(10):
        notice(member, f"Plums {number}", hours_ago=number)
    with django_assert_max_num_queries(7) as first:
        assert as_member.get(PAGE).content.decode().count("/open/") == 10
    matters = [make_matter(member.household) for _ in range(290)]
    Notice.objects.bulk_create(
        Notice(matter=matter, member=member, lead="0m", due_at=NOW, made_at=NOW)
        for matter in matters
    )
    with django_assert_num_queries(len(first)):
        page = as_member.get(PAGE).content.decode()
    assert page.count("/open/") == 25
    assert "Page 1 of 12" in page
    assert "(300)" in page
