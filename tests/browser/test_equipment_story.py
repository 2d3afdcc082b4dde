"""A canner from a free time to a damaged return, and back into use; an offer to who is in line.

Each person sits at a phone of their own, 360 px wide, and has signed in there.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from coop.equipment.models import Booking, Fault, GaugeTest, Handover, Thing
from coop.people.models import Coop
from tests.browser import equipment_pages as pages
from tests.browser.conftest import DEMO_PASSWORD, PHONE
from tests.browser.pages import On, SignIn
from tests.browser.test_paper import BETWEEN_MARGINS, check, pages_in
from tests.web import equipment_factories, factories

# What a browser shows does not hang on the database; the races are on both.
pytestmark = pytest.mark.sqlite

#: What a phone may ask of its owner before something is booked: the issue of equipment.
MOST_TAPS = 3
BORROWER, FOLLOWING, STEWARD = "Castell", "Dufresne", "Hale"
HOUR = timedelta(hours=1)
#: How the canner comes back: one of its two racks is missing.
PARTS_BACK = {"Gasket": 1, "Rack": 1, "Lid": 1}


@dataclass
class Cast:
    """A co-op with one dial-gauge canner, and the phones of three of its people."""

    coop: Coop
    canner: Thing
    phones: dict[str, Any]

    def of(self, name: str) -> list[Booking]:
        """What a household has booked, in the order of time."""
        return list(Booking.objects.filter(household__name=name, cancelled_at=None))

    @property
    def address(self) -> str:
        """Where the canner's page is."""
        return f"/{self.coop.slug}/equipment/things/{self.canner.pk}/"

    def booking_it(self, days: int) -> str:
        """The way to book the canner at nine, some days from now."""
        day = (timezone.now() + timedelta(days=days)).date()
        asked = f"thing={self.canner.pk}&start={day}T09:00&end={day}T12:00"
        return f"/{self.coop.slug}/equipment/book/?{asked}"


@pytest.fixture
def cast(live_server: Any, new_page: Any) -> Cast:
    coop = factories.make_coop("Cottonwood Larder")
    phones = {}
    for name in (BORROWER, FOLLOWING, STEWARD):
        user = factories.make_user(f"Kim {name}", password=DEMO_PASSWORD)
        household = factories.make_household(coop, name, phone="555-0142")
        roles = ["steward"] if name == STEWARD else []
        factories.make_member(household, roles=roles, user=user)
        phones[name] = new_page(width=PHONE)
        SignIn(phones[name]).by_password(user.email, DEMO_PASSWORD)
    parts = {"gasket": 1, "rack": 2, "lid": 1}
    canner = equipment_factories.make_dial_canner(
        coop, name="The blue canner", turnaround_minutes=120, parts=parts
    )
    last_month = (timezone.now() - timedelta(days=30)).date()
    equipment_factories.make_gauge_test(canner, tested_on=last_month)
    return Cast(coop, canner, phones)


def test_a_canner_goes_out_comes_back_damaged_and_is_put_right(cast: Cast) -> None:
    _two_book_within_three_taps(cast)
    code = pages.Sheet(cast.phones[STEWARD]).address_on(cast.address)
    assert urlsplit(code).path == f"{cast.address}handover/"
    _it_goes_out_and_comes_back_damaged(cast, code)
    _it_cannot_be_booked(cast)
    _who_has_it_next_is_told(cast)
    _the_steward_puts_it_right(cast)
    _it_is_booked_again(cast)


def _two_book_within_three_taps(cast: Cast) -> None:
    """Where the first has it already, the next free time is another."""
    for name in (BORROWER, FOLLOWING):
        assert pages.Booking(cast.phones[name]).in_taps(cast.coop.slug) <= MOST_TAPS
    (first,), (second,) = cast.of(BORROWER), cast.of(FOLLOWING)
    assert first.ends_at - first.starts_at == 3 * HOUR
    assert second.starts_at >= first.ends_at + 2 * HOUR


def _it_goes_out_and_comes_back_damaged(cast: Cast, code: str) -> None:
    phone = pages.AtTheThing(cast.phones[BORROWER])
    phone.take_out(code)
    assert phone.says("You have it")
    neighbour = On(cast.phones[FOLLOWING])
    neighbour.go(code)
    assert neighbour.says(f"{BORROWER} has it")
    note = "It fell off the truck; the handle is loose."
    phone.bring_back(code, bumped=True, condition="Damaged", parts=PARTS_BACK, note=note)
    assert phone.says("Out of order: leave it here")
    back = Handover.objects.get(what=Handover.What.BACK)
    assert back.bumped
    assert (back.condition, back.parts.get(name="rack").counted) == ("damaged", 1)


def _it_cannot_be_booked(cast: Cast) -> None:
    phone, before = pages.Booking(cast.phones[BORROWER]), Booking.objects.count()
    assert phone.again(cast.booking_it(days=3)) == 422
    assert phone.says("The blue canner is out of order")
    assert Booking.objects.count() == before


def _who_has_it_next_is_told(cast: Cast) -> None:
    phone = On(cast.phones[FOLLOWING])
    phone.go(f"/{cast.coop.slug}/")
    assert phone.says("A thing you booked is out of order")
    assert phone.says(f"Dropped or bumped while {BORROWER} had it")


def _the_steward_puts_it_right(cast: Cast) -> None:
    phone = pages.Steward(cast.phones[STEWARD])
    phone.write_test(cast.address, "11", "11.5")
    assert GaugeTest.objects.filter(thing=cast.canner).count() == 2
    phone.go(f"/{cast.coop.slug}/equipment/fit/")
    phone.mend("A new handle, and the bolts tightened.")
    left = Fault.objects.filter(thing=cast.canner, mended_at=None)
    assert [fault.what for fault in left] == [Fault.What.PART_MISSING]


def _it_is_booked_again(cast: Cast) -> None:
    phone = pages.Booking(cast.phones[BORROWER])
    assert phone.again(cast.booking_it(days=3)) == 302
    assert phone.says("Booked.")
    neighbour = On(cast.phones[FOLLOWING])
    neighbour.go(f"/{cast.coop.slug}/")
    assert neighbour.says("The blue canner is in order again")


# ---- In line --------------------------------------------------------------------------------
def test_a_cancelled_time_is_offered_to_the_first_in_line_and_taken(cast: Cast) -> None:
    owner = pages.Booking(cast.phones[BORROWER])
    owner.again(cast.booking_it(days=3))
    (booked,) = cast.of(BORROWER)
    zone = ZoneInfo(cast.coop.time_zone)
    starts, ends = (
        f"{moment.astimezone(zone):%Y-%m-%dT%H:%M}" for moment in (booked.starts_at, booked.ends_at)
    )
    waiting = pages.InLine(cast.phones[FOLLOWING])
    waiting.stand_by(cast.coop.slug, cast.canner.pk, 180, between=(starts, ends))
    assert not waiting.says("Offered to you")
    owner.cancel()
    waiting.go(f"/{cast.coop.slug}/")
    assert waiting.says("The blue canner is yours to take")
    waiting.follow("Take it or not")
    waiting.press("Take it")
    (taken,) = cast.of(FOLLOWING)
    assert (taken.starts_at, taken.held_until) == (booked.starts_at, None)


# ---- Without script -------------------------------------------------------------------------
def test_without_script_a_canner_is_booked_handed_out_and_brought_back(
    cast: Cast, page_of: Any
) -> None:
    member = cast.coop.members.get(household__name=BORROWER)
    page = page_of(member, width=PHONE, java_script_enabled=False)
    assert pages.Booking(page).in_taps(cast.coop.slug) <= MOST_TAPS
    code = f"{cast.address}handover/"
    pages.AtTheThing(page).take_out(code)
    pages.AtTheThing(page).bring_back(code)
    assert On(page).says("Written down: it is back.")
    (booked,) = cast.of(BORROWER)
    found = booked.handovers.values_list("what", "condition", "bumped")
    assert list(found) == [("out", "good", False), ("back", "good", False)]


# ---- On paper -------------------------------------------------------------------------------
@pytest.mark.parametrize("paper", ("Letter", "A4"))
def test_the_board_of_the_demo_is_on_paper(demo: Coop, page_of: Any, paper: str) -> None:
    page = page_of(demo.members.first(), width=BETWEEN_MARGINS)
    page.goto(f"/{demo.slug}/equipment/?view=week")
    page.emulate_media(media="print")
    check(page, *demo.things.values_list("name", flat=True))
    assert 1 <= pages_in(page.pdf(format=paper)) <= 4
