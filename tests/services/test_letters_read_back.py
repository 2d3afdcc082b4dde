"""Letters through a real mail server: what it was handed is read again, byte for byte."""

from datetime import timedelta

import pytest
from aiosmtpd.controller import Controller

from tests.ports import free_port
from tests.web.factories import NOW, make_coop, make_household, make_member
from tests.web.notice_factories import START, know_the_kinds, make_matter, make_notice
from tests.web.notices.letter_reading import page_of, read, stop_address_of, text_of
from tests.web.notices.postman import post

pytestmark = pytest.mark.django_db
TITLE = "Äpfel: Abholung Do 13 Aug, 16:00 bis 18:30, für alle Häuser am Hügel und im Tal"
DETAILS = [".", "From the barn on.", "ä" * 2000, "2 Körbe → 44 lb", "🍎 = 1"]


class Server:
    """Keeps whole what it is handed."""

    def __init__(self):
        self.taken = []

    async def handle_DATA(self, server, session, envelope):
        self.taken.append((envelope.mail_from, envelope.rcpt_tos, envelope.original_content))
        return "250 taken"


@pytest.fixture
def server(settings):
    """A mail server on this machine, to which the site's mail goes."""
    handler = Server()
    controller = Controller(handler, hostname="127.0.0.1", port=free_port())
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = controller.hostname, controller.port
    settings.SITE_ADDRESS = "https://larders.example"
    yield handler
    controller.stop()


@pytest.fixture
def member(db):
    coop = make_coop('Hügel & "Tal", e. V.', slug="huegel")
    return make_member(make_household(coop), "Jörg Müller")


@pytest.fixture
def taken(server, member):
    """The letter that the server took, with two matters in it."""
    know_the_kinds()
    odd = {"title": TITLE, "to_do": "Hol <2> Körbe.", "details": DETAILS, "path": "/huegel/"}
    first = make_matter(member, kind=START.code, at=NOW + timedelta(days=2), **odd)
    make_notice(member, matter=first)
    make_notice(member)
    post()
    [taken] = server.taken
    return taken


def test_the_envelope_is_from_the_site_to_the_member_alone(taken, member):
    assert taken[:2] == ("no-reply@localhost", [member.user.email])


def test_what_is_read_is_what_was_written(taken):
    letter = read(taken[2])
    assert not letter.defects
    assert letter["Subject"].strip() == f"{TITLE}, and 1 more"
    assert letter["From"].addresses[0].display_name == 'Hügel & "Tal", e. V.'
    assert text_of(letter).startswith(f"Hol <2> Körbe.\n\n{TITLE}\n" + "\n".join(DETAILS) + "\n")
    page = page_of(letter)
    assert page.h1.text == "Hol <2> Körbe."
    assert [line.text for line in page.select(".plate")[0].select("p")[1:6]] == DETAILS


def test_its_links_are_whole(taken):
    letter = read(taken[2])
    stop = stop_address_of(letter)
    assert f"<{stop}>".encode() in taken[2]  # in one piece, whatever folds a header
    assert stop in text_of(letter).splitlines()
    assert stop in {link["href"] for link in page_of(letter).find_all("a")}
    assert "https://larders.example/huegel/" in text_of(letter).splitlines()


def test_it_needs_nothing_that_an_old_server_lacks(taken):
    """No 8BITMIME (RFC 6152), no SMTPUTF8 (RFC 6531), no line over 998 (RFC 5322, 2.1.1)."""
    assert taken[2].isascii()
    assert max(map(len, taken[2].split(b"\r\n"))) <= 998
