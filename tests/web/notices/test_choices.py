"""A member chooses what comes, how, and how long before, and what waits goes by it at once."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from bs4 import BeautifulSoup

from coop.core.reminders import before
from coop.notices.actions.keeping import keep
from coop.notices.kinds import AT_ONCE, Kind, Timing, all_kinds, declare
from coop.notices.models import Choice, Notice, Wishes
from tests.web.factories import NOW
from tests.web.notice_factories import NEWS, START, know_the_kinds, make_matter, say
from tests.web.reading import text_of

pytestmark = pytest.mark.django_db
PAGE = "/cottonwood/notices/choices/"
DENVER = ZoneInfo("America/Denver")
NEXT_WEEK = NOW + timedelta(days=7)
PLAIN = Kind("test_plain", "Tests", "Nothing to choose but mail", AT_ONCE, in_inbox=False)
SIX_BEFORE = START.timings[1].code


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()
    declare(PLAIN)


def fields_of(client):
    """What the form would send if nothing were touched."""
    page = BeautifulSoup(client.get(PAGE).content, "html.parser")
    sent = {}
    for field in page.select("main input[name]"):
        if field["type"] not in ("checkbox", "radio") or field.has_attr("checked"):
            sent[field["name"]] = field.get("value", "on")
    return sent


def save(client, *, without=(), **changes):
    """Send the form with some of its fields changed; `__` stands for the hyphen."""
    sent = fields_of(client) | {name.replace("__", "-"): value for name, value in changes.items()}
    return client.post(PAGE, {name: sent[name] for name in sent if name not in without})


def told(member):
    rows = Notice.objects.filter(member=member).order_by("due_at")
    return [(row.due_at, row.mail_at) for row in rows]


# ---- Saving ---------------------------------------------------------------------------------
def test_nothing_touched_saves_nothing(as_member, member):
    assert save(as_member).status_code == 302
    assert not Choice.objects.exists()
    assert not Wishes.objects.exists()


def test_what_is_chosen_of_a_kind_is_kept_and_shown_again(as_member, member):
    save(
        as_member,
        test_start__by_mail="daily",
        test_start__timing=SIX_BEFORE,
        test_start__calendar="out",
        without=("test_start-on_site",),
    )
    kept = Choice.objects.get()
    assert (kept.member, kept.kind, kept.by_mail, kept.timing) == (
        member,
        "test_start",
        "daily",
        SIX_BEFORE,
    )
    assert (kept.calendar, kept.on_site) == ("out", False)
    again = fields_of(as_member)
    assert again["test_start-timing"] == SIX_BEFORE
    assert "test_start-on_site" not in again


def test_what_is_chosen_as_it_was_at_first_is_no_choice(as_member, member):
    save(as_member, test_start__by_mail="never")
    save(as_member, test_start__by_mail="at_once")
    assert not Choice.objects.exists()


def test_quiet_hours_and_the_one_mail_a_day_are_kept(as_member, member):
    Wishes.objects.create(member=member, feed_secret="secret", changed_at=NOW)
    save(as_member, quiet_from="22:30", quiet_to="6:15", daily_at="12:00")
    kept = Wishes.objects.get(member=member)
    assert (kept.quiet_from, kept.quiet_to, kept.daily_at) == (time(22, 30), time(6, 15), time(12))
    assert (kept.quiet, kept.feed_secret) == (True, "secret")
    save(as_member, without=("quiet",))
    assert not Wishes.objects.get().quiet


def test_what_waits_goes_by_the_choice_at_once(as_member, member, household):
    keep(household.coop, "test:1", [say(household, key="x", kind=START.code, at=NEXT_WEEK)])
    save(as_member, test_start__by_mail="never", test_start__timing=SIX_BEFORE)
    assert told(member) == [(NEXT_WEEK - timedelta(hours=6), None)]


def test_what_waits_goes_by_other_quiet_hours_at_once(as_member, member, household):
    late = datetime(2026, 8, 11, 22, tzinfo=DENVER)
    keep(household.coop, "test:1", [say(household, key="x", at=late)])
    assert told(member) == [(late, datetime(2026, 8, 12, 7, tzinfo=DENVER))]
    save(as_member, quiet_from="23:00")
    assert told(member) == [(late, late)]


# ---- The quick way --------------------------------------------------------------------------
@pytest.mark.parametrize(("quick", "by_mail"), (("daily", "daily"), ("never", "never")))
def test_all_mail_is_set_at_once_with_what_else_was_typed(as_member, member, quick, by_mail):
    save(as_member, all=quick, quiet_from="22:00", test_start__timing=SIX_BEFORE)
    others = [kind for kind in all_kinds() if kind.by_mail != by_mail]
    kept = Choice.objects.filter(member=member)
    assert set(kept.values_list("by_mail", flat=True)) == {by_mail}
    assert kept.filter(kind__in=[kind.code for kind in others]).count() == len(others)
    assert kept.get(kind="test_start").timing == SIX_BEFORE
    assert Wishes.objects.get().quiet_from == time(22)


def test_only_what_can_wait_comes_in_one_mail_a_day(as_member, member):
    save(as_member, all="small", money_owed__by_mail="never", test_start__timing=SIX_BEFORE)
    mails = dict(Choice.objects.values_list("kind", "by_mail"))
    assert (mails["test_news"], mails["test_start"]) == ("daily", "at_once")
    assert mails["money_owed"] == "never"  # who wants no mail of a kind is not given any
    names = {kind.code for kind in all_kinds() if kind.can_wait}
    assert {code for code, by_mail in mails.items() if by_mail == "daily"} < names


def test_all_is_as_it_was_at_first_again(as_member, member):
    save(as_member, all="never", test_start__timing=SIX_BEFORE)
    save(as_member, all="first")
    assert not Choice.objects.exists()


# ---- Refused --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        ({"daily_at": "six"}, "Write a time, like 7:00 or 21:30."),
        ({"daily_at": ""}, "Write a time, like 7:00 or 21:30."),
        ({"daily_at": "22:00"}, "That is within your quiet hours."),
        ({"quiet_to": "21:00"}, "Quiet hours end at another time than they begin."),
        ({"test_start__by_mail": "by pigeon"}, "Choose one of these."),
        ({"test_start__timing": "-1m"}, "Choose one of these."),
    ),
)
def test_a_form_that_is_refused_keeps_all_that_was_typed_and_saves_nothing(
    as_member, member, typed, sentence
):
    answer = save(as_member, **{"test_news__by_mail": "never"} | typed)
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    page = BeautifulSoup(answer.content, "html.parser")
    news = page.select_one('input[name="test_news-by_mail"][checked]')
    assert news["value"] == "never"
    for name, value in typed.items():
        if name in ("daily_at", "quiet_to"):
            assert page.select_one(f'input[name="{name}"]').get("value", "") == value
    assert not Choice.objects.exists()
    assert not Wishes.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_kind_with_something_wrong_stands_open(as_member, member):
    answer = save(as_member, test_start__timing="-1m")
    page = BeautifulSoup(answer.content, "html.parser")
    opened = [each.select_one(".kind-words").text for each in page.select("details.kind[open]")]
    assert opened == [START.words]


def test_without_quiet_hours_the_one_mail_a_day_may_come_at_night(as_member, member):
    assert save(as_member, daily_at="23:00", without=("quiet",)).status_code == 302
    assert Wishes.objects.get().daily_at == time(23)


def test_one_members_choices_are_not_anothers(as_member, member, as_other_household_member):
    save(as_member, test_start__by_mail="never")
    assert fields_of(as_other_household_member)["test_start-by_mail"] == "at_once"


# ---- In words -------------------------------------------------------------------------------
def example(client, kind):
    """What a kind comes to, in words."""
    page = BeautifulSoup(client.get(PAGE).content, "html.parser")
    each = next(
        each for each in page.select(".kind") if each.select_one(".kind-words").text == kind
    )
    words = [part.text for part in each.select(".kind-how, .kind-example")]
    return " | ".join(words)


@pytest.mark.sqlite  # about the page alone
def test_a_choice_is_said_in_words_with_an_example(as_member, member):
    assert example(as_member, START.words) == (
        "1 day and 2 hours before: by mail, on the site, an alarm in the calendar | "
        "For something that starts Sat 15 Aug at 8:00 you are told Fri 14 Aug at 8:00 and "
        "Sat 15 Aug at 6:00; "
        "by mail Fri 14 Aug at 8:00 and Sat 15 Aug at 7:00."
    )


@pytest.mark.sqlite  # about the page alone
def test_what_comes_next_is_the_example(as_member, member, other_household):
    at = datetime(2026, 8, 20, 16, tzinfo=DENVER)
    fields = {"kind": START.code, "title": "Pickup of plums"}
    make_matter(member.household, at=at, **fields)
    make_matter(member.household, at=at + timedelta(days=1), **fields | {"title": "Later"})
    make_matter(other_household, at=at - timedelta(days=1), **fields | {"title": "Theirs"})
    save(as_member, test_start__by_mail="daily")
    assert example(as_member, START.words) == (
        "1 day and 2 hours before: in the mail of 18:00, on the site, an alarm in the calendar | "
        "Pickup of plums. You are told Wed 19 Aug at 16:00 and Thu 20 Aug at 14:00; "
        "by mail Wed 19 Aug at 18:00 and Thu 20 Aug at 14:00."
    )


@pytest.mark.sqlite  # about the page alone
def test_no_moment_is_named_that_had_passed_when_it_was_made(as_member, member, clock):
    fields = {"kind": START.code, "title": "Pickup of plums"}
    make_matter(member.household, at=NOW + timedelta(hours=3), **fields)
    assert "Pickup of plums. You are told Tue 11 Aug at 10:00." in example(as_member, START.words)
    clock.shift(timedelta(hours=2))
    assert "Pickup of plums. You were told Tue 11 Aug at 10:00." in example(as_member, START.words)


@pytest.mark.sqlite  # about the page alone
def test_what_was_made_too_late_to_be_told_is_no_example(as_member, member):
    make_matter(member.household, kind=START.code, at=NOW + timedelta(minutes=12), title="Plums")
    said = example(as_member, START.words)
    assert "Plums" not in said
    assert "For something that starts Sat 15 Aug at 8:00" in said


@pytest.mark.sqlite  # about the page alone
def test_the_example_keeps_the_limit_that_a_kind_has_after_its_moment(as_member, member):
    """Jars that did not seal are processed again within 24 hours, so no mail comes after them."""
    save(as_member, seal_check__by_mail="daily", daily_at="17:00")
    assert example(as_member, "Check that the jars sealed").endswith(
        "For a load that ended Sat 15 Aug at 8:00 you are told Sat 15 Aug at 20:00 and "
        "Sun 16 Aug at 6:00; by mail Sat 15 Aug at 20:00 and Sun 16 Aug at 7:00."
    )


@pytest.mark.sqlite  # about the page alone
def test_news_are_said_without_an_example(as_member, member):
    assert example(as_member, NEWS.words) == "by mail, on the site"
    save(as_member, test_news__by_mail="never")
    assert example(as_member, NEWS.words) == "on the site, no mail"
    save(as_member, without=("test_news-on_site",))
    assert example(as_member, NEWS.words) == "not told"
    assert example(as_member, PLAIN.words) == "by mail, on This week"


@pytest.mark.sqlite  # about the page alone
def test_a_kind_asks_only_what_there_is_to_choose(as_member, member):
    names = BeautifulSoup(as_member.get(PAGE).content, "html.parser").select("[name]")
    asked = {field["name"] for field in names}
    assert {"test_start-timing", "test_start-calendar", "test_news-on_site"} <= asked
    assert not {"test_news-timing", "test_news-calendar", "test_plain-on_site"} & asked


@pytest.mark.sqlite  # as many queries on any database
def test_the_page_takes_few_queries_however_much_is_to_come(
    as_member, member, django_assert_num_queries, django_assert_max_num_queries
):
    with django_assert_max_num_queries(8) as first:
        as_member.get(PAGE)
    for _ in range(20):
        make_matter(member.household, kind=START.code, at=NEXT_WEEK)
    with django_assert_num_queries(len(first)):
        as_member.get(PAGE)


# ---- Everything that apps declare -----------------------------------------------------------
def test_each_timing_of_a_kind_has_its_own_code_and_words():
    asked = [kind for kind in all_kinds() if not kind.code.startswith("test_")]
    for kind in asked:
        codes = {timing.code for timing in kind.timings}
        words = {timing.words for timing in kind.timings}
        assert len(codes) == len(words) == len(kind.timings), kind.code
        assert all(len(code) <= Choice._meta.get_field("timing").max_length for code in codes)
        assert len(kind.code) <= Choice._meta.get_field("kind").max_length
    assert len(asked) >= 20


def test_a_kind_is_declared_once():
    declare(START)
    with pytest.raises(ValueError, match="test_start"):
        declare(Kind("test_start", "Tests", "Other", (Timing("x", (before(hours=1),)),)))
