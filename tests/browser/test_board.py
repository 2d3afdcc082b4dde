"""The board of equipment on a phone and by keyboard."""

from datetime import timedelta

import pytest
from django.utils import timezone

from coop.equipment.models import Thing
from coop.people.models import Coop, Member
from tests.browser.conftest import DEMO_PASSWORD, DESK, PHONE
from tests.web.equipment_factories import make_booking, make_out, make_thing
from tests.web.factories import make_coop, make_household, make_member, make_user

# What a browser shows does not hang on the database.
pytestmark = pytest.mark.sqlite

HOUR = timedelta(hours=1)
NAME = "document.activeElement.getAttribute('aria-label') || ''"
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
#: Steps of Tab after which what was not met is out of reach.
FAR = 60


@pytest.fixture
def coop(live_server) -> Coop:
    """A co-op in whose zone a day is never cut by the clocks, so that the tests' hours stand."""
    return make_coop("Cottonwood Larder", slug="cottonwood", time_zone="UTC")


@pytest.fixture
def member(coop) -> Member:
    """Somebody who can sign in by password."""
    user = make_user("Ines Castell", password=DEMO_PASSWORD)
    return make_member(make_household(coop, "Castell", phone="555 0142"), "Ines", user=user)


@pytest.fixture
def red(member) -> Thing:
    """A canner that is booked twice tomorrow, the second time for another household."""
    thing = make_thing(member.coop, name="Big Red", gauge="weighted", turnaround_minutes=120)
    midnight = timezone.now().replace(hour=0, minute=0, second=0, microsecond=0)
    tomorrow = midnight + 24 * HOUR
    make_booking(thing, member.household, start=tomorrow + 9 * HOUR)
    make_booking(thing, make_household(member.coop, "Dufresne"), start=tomorrow + 15 * HOUR)
    return thing


def board(member, view="day"):
    """The address of tomorrow's board."""
    day = timezone.now().date() + timedelta(days=1)
    return f"/{member.coop.slug}/equipment/?day={day}&view={view}"


def tab_through(page):
    """The names of what Tab meets, until it leaves the picture of the board."""
    met = []
    for _ in range(FAR):
        page.keyboard.press("Tab")
        if name := page.evaluate(NAME):
            met.append(name)
    return met


@pytest.mark.parametrize(("width", "view"), [(PHONE, "day"), (PHONE, "week"), (DESK, "day")])
def test_bookings_are_met_by_tab_in_the_order_of_time(member, red, page_of, width, view):
    page = page_of(member, width=width)
    page.goto(board(member, view))
    met = [name for name in tab_through(page) if name.startswith("Big Red: ")]
    assert [name.split(",")[0] for name in met[:2]] == ["Big Red: Castell", "Big Red: Dufresne"]
    assert met[0].endswith("9:00 to 12:00, then 2 h cooling")


def test_enter_on_a_booking_opens_it(member, red, page_of):
    page = page_of(member, width=PHONE)
    page.goto(board(member))
    link = page.get_by_role("link", name="Big Red: Castell").first
    link.focus()
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/equipment/bookings/{red.bookings.earliest('starts_at').pk}/")


def test_the_bar_shows_where_the_focus_is(member, red, page_of):
    page = page_of(member, width=PHONE)
    page.goto(board(member))
    width = "link => getComputedStyle(link.querySelector('.board-whole')).strokeWidth"
    link = page.get_by_role("link", name="Big Red: Castell").first
    before = link.evaluate(width)
    page.keyboard.press("Tab")  # from here on the focus is shown as that of a keyboard
    link.focus()
    assert (before, link.evaluate(width)) == ("1px", "3px")


@pytest.mark.parametrize("view", ["day", "week"])
def test_a_phone_shows_the_whole_bar_and_nothing_wider(member, red, page_of, view):
    page = page_of(member, width=PHONE)
    page.goto(board(member, view))
    assert page.evaluate(OVERFLOW) == 0
    bar = page.locator(f"#thing-{red.pk} svg.board-bar")
    box = bar.bounding_box()
    assert box["height"] >= 44
    for use in bar.locator(".board-use").all():
        piece = use.bounding_box()
        assert box["x"] <= piece["x"]
        assert piece["x"] + piece["width"] <= box["x"] + box["width"] + 1


def test_a_use_stands_where_its_hours_are(member, red, page_of):
    page = page_of(member, width=PHONE)
    page.goto(board(member))
    bar = page.locator(f"#thing-{red.pk} svg.board-bar")
    box, use = bar.bounding_box(), bar.locator(".board-use").first.bounding_box()
    # From 9:00 to 12:00: an eighth of the day, after three eighths of it; a rim is 1 px.
    assert use["x"] - box["x"] == pytest.approx(box["width"] * 3 / 8, abs=2)
    assert use["width"] == pytest.approx(box["width"] / 8, abs=2)


def test_a_tap_on_free_time_leads_to_booking_that_time(member, red, page_of):
    page = page_of(member, width=PHONE)
    page.goto(board(member))
    bar = page.locator(f"#thing-{red.pk} svg.board-bar")
    box = bar.bounding_box()
    # One in the morning: the slice from midnight to three.
    page.mouse.click(box["x"] + box["width"] / 24, box["y"] + box["height"] / 2)
    page.wait_for_url(f"**/equipment/book/?thing={red.pk}&start=*T00*")


def test_who_has_it_now_is_a_tap_away(member, red, page_of):
    out = make_thing(member.coop, "dehydrator", name="Nine trays")
    make_out(make_booking(out, member.household, start=timezone.now() - HOUR))
    page = page_of(member, width=PHONE)
    page.goto(f"/{member.coop.slug}/equipment/")
    phone = page.locator(f"#thing-{out.pk}").get_by_role("link", name="555 0142")
    assert phone.get_attribute("href") == "tel:555 0142"
    assert phone.bounding_box()["height"] >= 24
