"""Letters: what stands in them, in which order, and over them."""

from datetime import timedelta
from email.utils import parsedate_to_datetime

import pytest

from coop.notices.mailing.letters import MOST_LINES, compose
from coop.notices.mailing.stopping import stop_address
from coop.notices.models import Mail
from tests.web.factories import NOW
from tests.web.notice_factories import (
    NEWS,
    START,
    know_the_kinds,
    make_mail,
    make_matter,
    make_notice,
)
from tests.web.notices.letter_reading import composed, page_of, read_back, stop_address_of, text_of

pytestmark = pytest.mark.django_db
SITE = "https://larders.example"
PICKUP = {
    "kind": START.code,
    "at": NOW + timedelta(days=2),
    "title": "Peaches: pickup Thu 13 Aug, 16:00 to 18:30",
    "to_do": "Fetch your peaches.",
    "details": ["2 lugs, about 44 lb.", "At the Brandt barn."],
    "path": "/cottonwood/buys/3/pickup/",
    "button": "Where and what",
}


@pytest.fixture(autouse=True)
def site(settings):
    settings.SITE_ADDRESS = SITE
    know_the_kinds()


@pytest.fixture
def letter_of(member):
    """The letter to `member` that says matters, written out and read again."""

    def letter(*matters):
        mail = make_mail(member, notices=0)
        for fields in matters:
            matter = make_matter(member, **fields)
            make_notice(member, matter=matter, mail=mail)
        return read_back(composed(mail))

    return letter


# ---- One notice -----------------------------------------------------------------------------
def test_what_to_do_comes_first_then_the_details_then_the_way_there(letter_of):
    lines = text_of(letter_of(PICKUP)).splitlines()
    assert lines[:8] == [
        "Fetch your peaches.",
        "",
        "Peaches: pickup Thu 13 Aug, 16:00 to 18:30",
        "2 lugs, about 44 lb.",
        "At the Brandt barn.",
        "",
        "Where and what:",
        f"{SITE}/cottonwood/buys/3/pickup/",
    ]


def test_the_foot_says_why_it_came_and_how_to_choose_and_to_stop(letter_of):
    letter = letter_of(PICKUP)
    foot = text_of(letter).partition("\n-- \n")[2].splitlines()
    assert foot[:2] == [
        "You get this as a member of Cottonwood Larder.",
        "It tells of: Something starts.",
    ]
    assert f"{SITE}/cottonwood/notices/choices/" in foot
    assert stop_address_of(letter) in foot


def test_who_is_told_by_a_role_reads_so(coordinator):
    mail = make_mail(coordinator, notices=0)
    matter = make_matter(coordinator, member=None, role="coordinator")
    make_notice(coordinator, matter=matter, mail=mail)
    said = text_of(read_back(composed(mail)))
    assert "You get this as a coordinator of Cottonwood Larder." in said


def test_the_page_says_the_same_with_one_large_button(letter_of):
    page = page_of(letter_of(PICKUP))
    assert page.html["lang"] == "en"
    assert [heading.text for heading in page.find_all("h1")] == ["Fetch your peaches."]
    button = page.find("a", class_="act")
    assert (button.text, button["href"]) == ("Where and what", f"{SITE}/cottonwood/buys/3/pickup/")
    assert page.find(class_="tile").text.split() == ["Thu", "13", "Aug"]
    assert [line.text for line in page.select(".plate p")[1:3]] == PICKUP["details"]


def test_what_a_list_of_mails_shows_of_it_begins_with_what_to_do(letter_of):
    preview = page_of(letter_of(PICKUP)).body.find("div").text
    assert preview == "Fetch your peaches. 2 lugs, about 44 lb. At the Brandt barn."


def test_it_fetches_nothing_and_runs_nothing(letter_of):
    page = page_of(letter_of(PICKUP))
    assert not page.find_all(["script", "link", "img", "iframe", "form", "object"])
    assert not page.find_all(src=True)
    assert "url(" not in str(page)
    assert len(page.find_all("a")) == 3


def test_news_have_no_day_to_keep(letter_of):
    assert page_of(letter_of({"kind": NEWS.code})).find(class_="tile") is None


# ---- Several in one -------------------------------------------------------------------------
def test_what_is_still_to_come_stands_first_the_soonest_at_the_top(letter_of):
    letter = letter_of(
        {"to_do": "Read what happened.", "at": NOW - timedelta(hours=1)},
        {"to_do": "Do this on Friday.", "at": NOW + timedelta(days=3)},
        PICKUP,
    )
    assert letter["Subject"] == f"{PICKUP['title']}, and 2 more"
    said = [heading.text for heading in page_of(letter).find_all(["h1", "h2"])]
    assert said == ["Fetch your peaches.", "Do this on Friday.", "Read what happened."]
    places = [text_of(letter).index(to_do) for to_do in said]
    assert places == sorted(places)
    assert places[0] == 0


def test_what_has_an_end_to_its_use_stands_before_what_comes_later(letter_of):
    seals = {
        "at": NOW - timedelta(hours=12),
        "until": NOW + timedelta(hours=12),
        "title": "Plums: try the seals until tonight",
        "to_do": "Try the seals of 7 quarts.",
    }
    letter = letter_of({"to_do": "Read what happened."}, PICKUP, seals)
    assert letter["Subject"] == "Plums: try the seals until tonight, and 2 more"
    page = page_of(letter)
    said = [heading.text for heading in page.find_all(["h1", "h2"])]
    assert said == ["Try the seals of 7 quarts.", "Fetch your peaches.", "Read what happened."]
    assert page.body.find("div").text == "Also: Fetch your peaches. Read what happened."


def test_each_of_several_kinds_can_be_stopped_by_itself(letter_of, member):
    letter = letter_of(PICKUP, {"kind": NEWS.code}, {"kind": "of_old"})
    alone = {kind.words: stop_address(member, [kind.code]) for kind in (START, NEWS)}
    page = page_of(letter)
    for words, address in alone.items():
        assert f"Stop mail of: {words}\n{address}\n" in text_of(letter)
        assert page.find("a", string=f"Stop mail of: {words}")["href"] == address
    everything = stop_address(member, [START.code, NEWS.code, "of_old"])
    assert stop_address_of(letter) == everything
    assert page.find("a", string="Stop mail of all these 2 kinds")["href"] == everything


def test_of_several_buttons_one_is_filled(letter_of):
    page = page_of(letter_of(PICKUP, {}, {}))
    assert (len(page.select("a.act")), len(page.select("a.rim"))) == (1, 2)


def test_a_matter_told_for_two_leads_at_once_is_said_once(member):
    mail = make_mail(member, notices=0)
    matter = make_matter(member, **PICKUP)
    for lead in ("-1440m", "-120m"):
        make_notice(member, matter=matter, lead=lead, mail=mail)
    assert composed(mail).body.count("Fetch your peaches.") == 1


def test_nothing_is_asked_of_the_database(member, django_assert_num_queries):
    mail = make_mail(member, notices=3)
    mail = Mail.objects.select_related("coop", "member__user").get(pk=mail.pk)
    notices = list(mail.notices.select_related("matter"))
    with django_assert_num_queries(0):
        assert compose(mail, notices).body


def test_a_letter_without_a_notice_is_refused(member):
    with pytest.raises(ValueError, match="nothing to say"):
        composed(make_mail(member, notices=0))


def test_a_kind_that_no_app_declares_any_more_can_still_be_told_and_stopped(letter_of):
    letter = letter_of(PICKUP | {"kind": "of_old"})
    assert "Stop mail of this kind:" in text_of(letter)
    assert "It tells of" not in text_of(letter)


def test_a_long_list_is_cut_and_says_by_how_much(letter_of):
    letter = letter_of(PICKUP | {"details": [f"Line {number}" for number in range(300)]})
    assert f"Line {MOST_LINES - 1}\n200 more lines on the page." in text_of(letter)
    assert "200 more lines on the page." in page_of(letter).text


# ---- Over the letter ------------------------------------------------------------------------
def test_message_id_and_date_are_the_mails_own_at_every_try(member, clock):
    mail = make_mail(member)
    first = read_back(composed(mail))
    clock.shift(3600)
    again = read_back(composed(mail))
    assert first["Message-ID"] == again["Message-ID"] == f"<{mail.uuid}@larders.example>"
    assert first["Date"] == again["Date"]
    assert parsedate_to_datetime(first["Date"]) == NOW


def test_programs_are_told_what_it_is_and_how_to_stop_it(member):
    letter = read_back(composed(make_mail(member)))
    assert letter["Auto-Submitted"] == "auto-generated"  # RFC 3834, section 5
    # RFC 2919, section 2: a phrase, and a name with dots in angle brackets.
    assert letter["List-Id"] == '"Cottonwood Larder" <cottonwood.larders.example>'
    # RFC 8058, section 3.1: one HTTPS address, and exactly this pair.
    assert stop_address_of(letter).startswith(f"{SITE}/stop-mail/")
    assert letter["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_it_is_from_the_co_op_to_the_member(member):
    letter = read_back(composed(make_mail(member)))
    assert letter["From"].addresses[0].display_name == "Cottonwood Larder"
    assert letter["From"].addresses[0].addr_spec == "no-reply@localhost"
    assert letter["To"] == member.user.email


@pytest.mark.parametrize(
    ("address", "host"),
    [("http://127.0.0.1:8000", "127.0.0.1"), ("http://[::1]:8000", "[::1]")],
)
def test_a_site_without_a_name_has_whole_headers_too(member, settings, address, host):
    settings.SITE_ADDRESS = address
    mail = make_mail(member)
    letter = read_back(composed(mail))
    assert letter["Message-ID"] == f"<{mail.uuid}@{host}>"
    assert f"{address}/stop-mail/" in letter["List-Unsubscribe"]
