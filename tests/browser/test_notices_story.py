"""Notices as people of the demo live with them: read, chosen, in a calendar, written, by mail.

The letters go through a real mail server, which knows nobody at one of the addresses.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from email.message import EmailMessage
from typing import Any
from urllib.parse import urlencode
from urllib.request import urlopen
from zoneinfo import ZoneInfo

import pytest
import time_machine
from aiosmtpd.controller import Controller
from django.utils import timezone
from icalendar import Calendar

from coop.buying.models import Buy
from coop.notices.models import Choice, Notice, Writing
from coop.people.models import Coop, Member
from tests.browser import notice_pages as pages
from tests.browser.conftest import DEMO_PASSWORD, PHONE
from tests.browser.pages import On
from tests.ports import free_port
from tests.web.notices.letter_reading import read, stop_address_of, text_of
from tests.web.notices.postman import post

# What a browser shows does not hang on the database; delivery has tests of its own on both.
pytestmark = pytest.mark.sqlite

LETTERS, PICKUP = "A letter from who runs a buy", "Pickup"
EVENING_BEFORE = "the evening before at 18:00"
SUBJECT, TEXT = "Corn: come early", "The truck leaves at nine.\n\nBring your own sacks."
#: Of those who asked for sweet corn: one who chose no mail, one who reads, one with a dead address.
SILENT, READER, GONE = "Inés Castellanos", "Per Eskildsen", "Grace Okonjo"
#: In quiet hours no mail goes out: at noon of the next day what was written has gone to all.
NOON = time(12)


@dataclass
class MailServer:
    """Keeps whole what it is handed, by address; one address it does not know."""

    unknown: str = ""
    taken: dict[str, list[EmailMessage]] = field(default_factory=dict)

    async def handle_RCPT(
        self, server: Any, session: Any, envelope: Any, address: str, options: list[str]
    ) -> str:
        if address == self.unknown:
            return "550 5.1.1 No such mailbox"  # RFC 3463: bad destination mailbox address
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        for address in envelope.rcpt_tos:
            self.taken.setdefault(address, []).append(read(envelope.original_content))
        return "250 taken"


@dataclass
class Cast:
    """The demo, its mail server, and the phones of a member and of who runs the sweet corn."""

    coop: Coop
    corn: Buy
    server: MailServer
    member: Any
    runs: Any

    def of(self, name: str) -> Member:
        """A member by name."""
        return Member.objects.select_related("user").get(coop=self.coop, name=name)

    @property
    def letter(self) -> Writing:
        """What was written."""
        return Writing.objects.get(coop=self.coop, title=SUBJECT)


@pytest.fixture
def server(settings: Any, live_server: Any) -> Iterator[MailServer]:
    handler = MailServer()
    controller = Controller(handler, hostname="127.0.0.1", port=free_port())
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = controller.hostname, controller.port
    settings.SITE_ADDRESS = live_server.url
    yield handler
    controller.stop()


@pytest.fixture
def cast(demo: Coop, server: MailServer, page_of: Any) -> Cast:
    corn = Buy.objects.get(coop=demo, title__startswith="Sweet corn")
    member = page_of(demo.members.get(name=SILENT), width=PHONE)
    cast = Cast(demo, corn, server, member, page_of(corn.coordinator, width=PHONE))
    server.unknown = cast.of(GONE).user.email
    return cast


def test_what_is_told_is_read_chosen_written_and_stopped(cast: Cast, new_page: Any) -> None:
    _a_notice_is_read(cast)
    _kinds_are_chosen(cast)
    _the_calendar_is_followed(cast)
    _a_letter_goes_to_who_asked_and_once(cast)
    with time_machine.travel(_tomorrow_at(NOON, cast.coop)):
        post()
        _the_letter_leads_to_its_page(cast, new_page(width=PHONE))
        _one_click_stops_its_kind(cast)
    _who_runs_it_sees_who_was_told(cast)
    _the_refusal_is_taken_note_of(cast)


def _a_notice_is_read(cast: Cast) -> None:
    phone = pages.Notices(cast.member)
    phone.week(cast.coop.slug)
    before = phone.count
    assert before >= 2
    phone.all()
    shown = Notice.objects.filter(member__name=SILENT, due_at__lte=timezone.now())
    title = phone.open_first()
    assert not cast.member.url.endswith("/notices/")
    assert shown.filter(matter__title=title).latest("due_at").read_at
    phone.week(cast.coop.slug)
    assert phone.count == before - 1


def _kinds_are_chosen(cast: Cast) -> None:
    pages.Notices(cast.member).all()
    phone = pages.Choices(cast.member)
    phone.follow("Choose what comes")
    assert phone.how(PICKUP).startswith("1 day and 2 hours before: by mail")
    phone.set(LETTERS, "By mail", "No mail")
    phone.set(PICKUP, "When", "The evening before at 18:00")
    phone.save()
    assert phone.how(LETTERS) == "on the site, no mail"
    assert phone.how(PICKUP).startswith(f"{EVENING_BEFORE}: by mail")
    example = phone.kind(PICKUP).locator(".kind-example").text_content()
    assert re.search(r"you (are|were) told \w+ \d+ \w+ at 18:00", example, re.IGNORECASE)


def _the_calendar_is_followed(cast: Cast) -> None:
    phone = pages.Calendar(cast.member)
    phone.follow("Your calendar")
    with urlopen(phone.make_address(), timeout=10) as answer:
        calendar = Calendar.from_ical(answer.read())
    beans = [e for e in calendar.events if str(e["SUMMARY"]).startswith("Snap beans and beets: pi")]
    [pickup] = beans
    [alarm] = pickup.walk("VALARM")
    zone = ZoneInfo(cast.coop.time_zone)
    day, rings = pickup.start.date(), alarm["TRIGGER"].dt.astimezone(zone)
    assert (rings.date(), rings.hour, rings.minute) == (day - timedelta(days=1), 18, 0)


def _tomorrow_at(clock: time, coop: Coop) -> datetime:
    zone = ZoneInfo(coop.time_zone)
    day = timezone.localdate(timezone=zone) + timedelta(days=1)
    return datetime.combine(day, clock, zone)


def _a_letter_goes_to_who_asked_and_once(cast: Cast) -> None:
    phone = pages.Writing(cast.runs)
    phone.go(f"/{cast.coop.slug}/buys/{cast.corn.pk}/")
    phone.follow("Write to them")
    phone.look("Who asked", SUBJECT, TEXT)
    assert phone.heading == "Send it to 9 households, 10 people?"
    for name in (SILENT, READER, GONE):
        assert phone.says(name)
    form, address = phone.filled(), cast.runs.url.removesuffix("look/")
    phone.press("Send it")
    assert phone.heading == SUBJECT
    again = cast.runs.request.post(address, form=form, headers={"Referer": address})
    assert again.url == cast.runs.url
    assert "went out a moment ago, once" in again.text()
    assert cast.coop.writings.filter(title=SUBJECT).count() == 1


def _the_letter_leads_to_its_page(cast: Cast, phone: Any) -> None:
    for address in (cast.of(SILENT).user.email, cast.server.unknown):
        assert not _of_the_corn(cast, address)
    [letter] = _of_the_corn(cast, cast.of(READER).user.email)
    assert "The truck leaves at nine." in text_of(letter)
    links = re.findall(r"http\S+", text_of(letter))
    phone.goto(links[0])
    phone.locator("[name=login]").fill(cast.of(READER).user.email)
    phone.locator("[name=password]").fill(DEMO_PASSWORD)
    phone.locator("main form").first.get_by_role("button").first.click()
    assert phone.url == links[0]
    On(phone).go(next(link for link in links if link.endswith(f"/told/{cast.letter.pk}/")))
    assert On(phone).heading == SUBJECT


def _of_the_corn(cast: Cast, address: str) -> list[EmailMessage]:
    return [each for each in cast.server.taken.get(address, []) if SUBJECT in text_of(each)]


def _one_click_stops_its_kind(cast: Cast) -> None:
    """As a mail program does it: no cookie, no token of a form, no detour (RFC 8058, 3.2)."""
    [letter] = _of_the_corn(cast, cast.of(READER).user.email)
    body = urlencode({"List-Unsubscribe": "One-Click"}).encode()
    with urlopen(stop_address_of(letter), data=body, timeout=10) as answer:
        assert answer.status == 200
    assert Choice.objects.get(member=cast.of(READER), kind="written").by_mail == "never"


def _who_runs_it_sees_who_was_told(cast: Cast) -> None:
    phone = pages.Told(cast.runs)
    phone.go(f"/{cast.coop.slug}/notices/told/{cast.letter.pk}/")
    assert "mail went out" in phone.of(READER)
    assert "no mail, by own choice" in phone.of(SILENT)
    assert "mail was refused: there is no such address" in phone.of(GONE)


def _the_refusal_is_taken_note_of(cast: Cast) -> None:
    phone = pages.Told(cast.runs)
    phone.follow("Sweet corn")
    phone.follow("Who has been told")
    assert phone.says(f"Could not be told {GONE}")
    phone.follow("Whom mail does not reach")
    phone.take_note(GONE)
    assert phone.says(f"Noted: mail does not reach {GONE}.")
    assert phone.says("Ben Kowalczyk")
    assert not cast.runs.get_by_role("button", name=f"Take note of {GONE}").count()
