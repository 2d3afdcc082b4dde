"""Whatever people typed: a letter stays whole, and nothing in it becomes a header or a mark."""

import unicodedata
from email.header import decode_header, make_header
from email.utils import parseaddr

import pytest
from django.conf import settings as django_settings
from hypothesis import given, settings
from hypothesis import strategies as st

from coop.notices.mailing.lines import one_line
from tests.web.notices.letter_reading import letter_saying, page_of, read_back, text_of

HEADERS = {
    "subject", "from", "to", "message-id", "date", "auto-submitted", "list-id", "mime-version",
    "list-unsubscribe", "list-unsubscribe-post", "content-type",
}  # fmt: skip
BY_NAME = ("From", "List-Id")
ANY_TEXT = st.text(max_size=160)


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r", "\u2028", "\x0b", "\x85"])
@pytest.mark.parametrize("where", ["title", "to_do", "coop", "button"])
def test_a_line_break_in_a_text_adds_no_header(where, end):
    text = f"Peaches{end}Bcc: all@example.test{end}{end}Hello"
    letter = read_back(letter_saying(**{where: text}))
    assert {name.lower() for name in letter} == HEADERS
    assert not letter.defects


@settings(max_examples=25)
@given(title=ANY_TEXT, coop=ANY_TEXT, detail=ANY_TEXT)
def test_any_text_comes_back_as_it_was_in_one_line(title, coop, detail):
    letter = read_back(letter_saying(title=title, coop=coop, details=[detail]))
    assert {name.lower() for name in letter} == HEADERS
    assert letter["Subject"].strip() == one_line(title)  # a folded one keeps its first space
    assert one_line(title) in text_of(letter).splitlines()
    assert one_line(detail) in page_of(letter).text or not one_line(detail)


@given(st.text())
def test_a_line_holds_nothing_unseen(text):
    line = one_line(text)
    assert line == line.strip()
    assert not {unicodedata.category(letter) for letter in line} & {"Cc", "Cs", "Zl", "Zp"}
    assert one_line(line) == line


def test_the_direction_of_a_text_ends_with_it():
    """U+202E, which turns what follows around (Unicode Standard Annex 9)."""
    assert one_line("Corn \u202e2 Aug") == "Corn 2 Aug"


def test_marks_of_html_are_shown_as_typed():
    page = page_of(read_back(letter_saying(to_do="<b>Peaches</b> & <script>pears</script>")))
    assert page.h1.text == "<b>Peaches</b> & <script>pears</script>"
    assert page.find("script") is None


@pytest.mark.parametrize(
    "name", ["Äpfel & Birnen", 'The "Corn" Club, Inc.', "村の八百屋" * 20, "a@b <c@d>", "x" * 120]
)
def test_a_co_op_of_any_name_is_shown_as_the_sender(name):
    """RFC 2047: an encoded word has 75 characters at most (2), the space after it is none (6.2)."""
    letter = letter_saying(coop=name).message()
    shown = {
        header: parseaddr(str(make_header(decode_header(letter[header])))) for header in BY_NAME
    }
    assert shown == {
        "From": (name, "no-reply@localhost"),
        "List-Id": (name, "cottonwood.localhost"),
    }
    words = [word for header in BY_NAME for word in letter[header].split()]
    assert all(len(word) <= 75 for word in words if word.startswith("=?"))


@pytest.mark.parametrize("long", ["ä", "ä" * 3000, "x" * 3000])
def test_on_its_way_it_is_ascii_in_lines_that_every_server_takes(long):
    """RFC 5322, 2.1.1: 998 characters at most in a line, 78 where it can be."""
    details = ["Größe", long, ".", "From here on", "=3D"]
    raw = letter_saying(title="Ж" * 160, details=details).message().as_bytes(linesep="\r\n")
    lines = raw.split(b"\r\n")
    assert raw.isascii()
    assert max(len(line) for line in lines if b"/stop-mail/" not in line) <= 78
    assert max(map(len, lines)) <= 998


def test_a_path_cannot_lead_to_another_site(monkeypatch):
    monkeypatch.setattr(django_settings, "SITE_ADDRESS", "https://larders.example")
    for path in ("//evil.example/", "https://evil.example/", "\n//evil.example"):
        link = page_of(read_back(letter_saying(path=path))).find("a", class_="act")["href"]
        assert link.startswith("https://larders.example/")
