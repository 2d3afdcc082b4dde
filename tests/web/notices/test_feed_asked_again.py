"""Who may read a calendar, and how a program that has it asks again."""

import logging
from datetime import time, timedelta

import pytest
from django.urls import reverse
from django.utils.http import http_date, parse_http_date

from coop.notices.actions.choices import Clocks, choose
from coop.notices.actions.feeds import end_feed, renew_feed
from coop.notices.actions.keeping import keep
from coop.notices.calendar.private import LOGGERS
from coop.notices.models import Choice
from coop.people.actions.members import leave, set_roles
from tests.web.factories import NOW, make_household, make_member
from tests.web.notice_factories import START, know_the_kinds, make_matter, say
from tests.web.notices.calendar_reading import address_of

pytestmark = pytest.mark.django_db
NEXT_WEEK = NOW + timedelta(days=7)
NOT_MODIFIED, NOT_FOUND, NOT_TAKEN = 304, 404, 405


@pytest.fixture(autouse=True)
def kinds():
    know_the_kinds()


@pytest.fixture
def address(member):
    return address_of(member)


def starts(to, **fields):
    return say(to, **{"key": "start", "kind": START.code, "at": NEXT_WEEK, "title": "C"} | fields)


# ---- Asked again ----------------------------------------------------------------------------
def test_a_program_that_has_it_gets_nothing_new(signed_out, address):
    tag = signed_out.get(address).headers["ETag"]
    again = signed_out.get(address, headers={"If-None-Match": tag})
    assert (again.status_code, again.content) == (NOT_MODIFIED, b"")
    assert again.headers["ETag"] == tag
    assert tag.startswith('"')  # a strong one


def change_nothing(coop, member):
    pass


def post(coop, member):
    keep(coop, "test:2", [starts(member.household)])


def reword(coop, member):
    keep(coop, "test:1", [starts(member.household, title="Other words")])


def call_off(coop, member):
    keep(coop, "test:1", [])


def choose_six_hours(coop, member):
    timing = START.timings[1].code
    Choice.objects.create(member=member, kind=START.code, by_mail="never", timing=timing)


def silence(coop, member):
    Choice.objects.create(member=member, kind=START.code, by_mail="never", calendar="silent")


def rename_the_coop(coop, member):
    coop.name = "Cottonwood Pantry"
    coop.save()


def set_other_clocks(coop, member):
    coop.time_zone = "Europe/Berlin"
    coop.save()


def give_a_role(coop, member):
    member.steward = True
    member.save()


CHANGES = [
    post,
    reword,
    call_off,
    choose_six_hours,
    silence,
    rename_the_coop,
    set_other_clocks,
    give_a_role,
]


@pytest.mark.parametrize("change", [change_nothing, *CHANGES])
def test_the_tag_differs_just_where_the_calendar_does(coop, member, signed_out, address, change):
    make_matter(member, role="steward", member=None, kind=START.code, at=NEXT_WEEK)
    keep(coop, "test:1", [starts(member.household)])
    before = signed_out.get(address)
    change(coop, member)
    after = signed_out.get(address, headers={"If-None-Match": before.headers["ETag"]})
    is_same = change is change_nothing
    assert (after.status_code == NOT_MODIFIED) is is_same
    assert is_same or after.content != before.content


def test_asked_by_date_it_is_new_after_a_change_alone(coop, member, signed_out, address, clock):
    keep(coop, "test:1", [starts(member.household)])
    clock.shift(timedelta(minutes=5))
    date = signed_out.get(address).headers["Last-Modified"]
    assert parse_http_date(date) == int(NOW.timestamp())
    since = {"If-Modified-Since": date}
    assert signed_out.get(address, headers=since).status_code == NOT_MODIFIED
    keep(coop, "test:1", [starts(member.household, title="Other words")])
    assert signed_out.get(address, headers=since).status_code == 200


def test_a_change_of_this_moment_has_no_date_since_another_may_follow_at_once(
    coop, member, signed_out, address
):
    keep(coop, "test:1", [starts(member.household)])
    answer = signed_out.get(address, headers={"If-Modified-Since": http_date(NOW.timestamp())})
    assert answer.status_code == 200
    assert "Last-Modified" not in answer.headers


def test_other_alarms_make_it_new_by_date_too(coop, member, signed_out, address, clock):
    keep(coop, "test:1", [starts(member.household)])
    clock.shift(timedelta(hours=1))
    since = {"If-Modified-Since": signed_out.get(address).headers["Last-Modified"]}
    clocks = Clocks(quiet=True, quiet_from=time(21), quiet_to=time(7), daily_at=time(18))
    fewer = Choice(kind=START.code, by_mail="at_once", timing=START.timings[1].code)
    choose(clocks, {START.code: fewer}, by=member)
    clock.shift(timedelta(hours=1))
    assert signed_out.get(address, headers=since).content.count(b"BEGIN:VALARM") == 1


def test_a_role_makes_it_new_by_date_too(coordinator, member, signed_out, address, clock):
    make_matter(member, role="steward", member=None, kind=START.code, at=NEXT_WEEK)
    clock.shift(timedelta(hours=1))
    since = {"If-Modified-Since": signed_out.get(address).headers["Last-Modified"]}
    set_roles(member.pk, ["steward"], by=coordinator)
    clock.shift(timedelta(hours=1))
    answer = signed_out.get(address, headers=since)
    assert answer.content.count(b"BEGIN:VEVENT") == 1


def test_what_grows_too_old_makes_it_new_by_date_too(household, signed_out, address, clock):
    make_matter(household, kind=START.code, at=NOW - timedelta(days=60, hours=2))
    clock.shift(timedelta(hours=1))
    before = signed_out.get(address)
    clock.shift(timedelta(days=1))
    since = {"If-Modified-Since": before.headers["Last-Modified"]}
    assert before.content.count(b"BEGIN:VEVENT") == 1
    assert signed_out.get(address, headers=since).content.count(b"BEGIN:VEVENT") == 0


def test_asked_for_its_head_it_says_the_same(signed_out, address):
    whole, head = signed_out.get(address), signed_out.head(address)
    assert head.content == b""
    assert {name: value for name, value in head.headers.items() if name != "Content-Length"} == {
        name: value for name, value in whole.headers.items() if name != "Content-Length"
    }


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_it_can_only_be_read(signed_out, address, method):
    assert getattr(signed_out, method)(address).status_code == NOT_TAKEN


# ---- Who may read it ------------------------------------------------------------------------
def test_no_shared_cache_keeps_it_and_no_sign_in_is_asked(signed_out, address):
    answer = signed_out.get(address)
    assert answer.status_code == 200
    assert "private" in answer.headers["Cache-Control"]
    assert not answer.cookies


def test_the_address_stands_in_nothing_that_goes_out_with_it(signed_out, address):
    answer = signed_out.get(address)
    secret = address.split("/")[-1].removesuffix(".ics").encode()
    assert secret not in answer.content
    assert secret not in answer.serialize_headers()
    assert answer.headers["Referrer-Policy"] == "no-referrer"


def refusal(client, address):
    """What is said of an address, less the address itself."""
    answer = client.get(address)
    name = address.split("/")[-1]
    headers = {key: value for key, value in answer.headers.items() if key != "Content-Length"}
    return answer.status_code, answer.content.decode().replace(name, "NAME"), headers


def test_all_that_opens_nothing_looks_alike_and_costs_the_same(
    member, coordinator, signed_out, address, django_assert_num_queries
):
    leaver = make_member(member.household)
    gone = address_of(leaver)
    leave(leaver.pk, by=coordinator)
    renew_feed(by=member)
    never = reverse("outside:feed", args=["x" * 32])
    asked = [never, address, gone, reverse("outside:feed", args=["x"])]
    told = []
    for each in asked:
        with django_assert_num_queries(1):
            told.append(refusal(signed_out, each))
    assert told[0][0] == NOT_FOUND
    assert all(each == told[0] for each in told)
    assert refusal(signed_out, "/feeds/no-such-page")[1] == told[0][1]


def test_a_renewed_address_opens_and_the_old_one_stops_at_once(member, signed_out, address):
    new = address_of(member)
    assert signed_out.get(address).status_code == NOT_FOUND
    assert signed_out.get(new).status_code == 200


def test_an_ended_address_stops_even_for_a_program_that_has_the_calendar(
    member, signed_out, address
):
    tag = signed_out.get(address).headers["ETag"]
    end_feed(by=member)
    again = signed_out.get(address, headers={"If-None-Match": tag})
    assert again.status_code == NOT_FOUND


def test_who_may_not_sign_in_any_more_reads_nothing(member, signed_out, address):
    member.user.is_active = False
    member.user.save()
    assert signed_out.get(address).status_code == NOT_FOUND


def test_two_members_of_a_household_have_addresses_of_their_own(household, member, signed_out):
    first, second = address_of(member), address_of(make_member(household))
    address_of(make_member(make_household(member.coop)))
    assert first != second
    assert signed_out.get(first).status_code == signed_out.get(second).status_code == 200


@pytest.mark.parametrize("name", LOGGERS)
def test_no_log_that_writes_addresses_keeps_the_secret(name, caplog):
    with caplog.at_level(logging.INFO, logger=name):
        logging.getLogger(name).warning("Exception while serving %s", "/feeds/s3cr3t.ics")
        logging.getLogger(name).warning('"GET /feeds/s3cr3t.ics HTTP/1.1" 200 4')
    said = [record.getMessage() for record in caplog.records]
    assert said == ["Exception while serving /feeds/...", '"GET /feeds/... HTTP/1.1" 200 4']


@pytest.mark.parametrize("method", ["get", "post"])
def test_the_log_does_not_keep_the_secret(signed_out, address, caplog, method):
    signed_out.raise_request_exception = False
    with caplog.at_level(logging.INFO):
        getattr(signed_out, method)(address + "x")
        getattr(signed_out, method)(address.replace(".ics", "y.ics"))
        signed_out.post(address)
    secret = address.split("/")[-1].removesuffix(".ics")
    lines = [record.getMessage() for record in caplog.records]
    assert any("/feeds/..." in line for line in lines)
    assert not [line for line in lines if secret in line]
