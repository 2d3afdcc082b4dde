"""A sheet as the printer gets it, a photo put up from a phone, and the longest names."""

from io import BytesIO

import pytest
from PIL import Image

from coop.equipment.models import Photo
from tests.browser.conftest import DEMO_PASSWORD, PHONE
from tests.browser.test_paper import BETWEEN_MARGINS, check, pages_in
from tests.web.equipment_factories import make_dial_canner
from tests.web.factories import make_coop, make_household, make_member, make_user

# What a browser shows does not hang on the database.
pytestmark = pytest.mark.sqlite

WEEK = [(day, start, start + 240) for day in range(7) for start in (480, 840)]
PARTS = {"gasket": 1, "weight": 3, "rack": 2, "lid": 1, "jar lifter": 1, "manual": 1}


@pytest.fixture
def member(live_server):
    """Somebody who can sign in by password."""
    household = make_household(make_coop("Cottonwood Larder", slug="cottonwood"), "Castell")
    return make_member(household, "Ines", user=make_user("Ines", password=DEMO_PASSWORD))


@pytest.fixture
def canner(member):
    """A canner of which everything is known."""
    return make_dial_canner(
        owner=member.household,
        name="The big canner of the grange hall",
        home="Grange hall, on the shelf by the back door",
        canner_class="large_double_deck",
        weight_tenths=185,
        btu=12000,
        not_on=["smooth", "induction"],
        deposit_cents=2500,
        fee_cents=300,
        hours=WEEK,
        parts=PARTS,
        cleaning_note="Wash the gasket by hand, dry it, and store the lid upside down.",
    )


@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_the_sheet_of_a_canner_is_one_page(page_of, member, canner, paper):
    page = page_of(member, width=BETWEEN_MARGINS)
    page.goto(f"/cottonwood/equipment/things/{canner.pk}/sheet/")
    page.emulate_media(media="print")
    check(page, canner.name, "Count these", "3 weights", "$25.00", "Heed", "/handover/")
    code = page.locator(".tag-qr").bounding_box()
    # A hand's breadth: read from an arm's length. Common practice, no source.
    assert min(code["width"], code["height"]) >= 60 / 25.4 * 96
    assert pages_in(page.pdf(format=paper)) == 1


def test_a_photo_is_put_up_from_a_phone_and_seen(page_of, member, canner):
    taken = BytesIO()
    Image.new("RGB", (2400, 3200), "teal").save(taken, "JPEG")
    page = page_of(member, width=PHONE)
    page.goto(f"/cottonwood/equipment/things/{canner.pk}/")
    page.get_by_role("link", name="Add photos").click()
    file = {"name": "canner.jpg", "mimeType": "image/jpeg", "buffer": taken.getvalue()}
    page.get_by_label("Photos").set_input_files(file)
    page.get_by_role("button", name="Add", exact=True).click()
    image = page.get_by_role("img", name="Photo 1 of")
    image.scroll_into_view_if_needed()
    page.wait_for_function(
        "image => image.complete && image.naturalWidth", arg=image.element_handle()
    )
    assert image.evaluate("image => [image.naturalWidth, image.naturalHeight]") == [960, 1280]
    assert Photo.objects.count() == 1


def test_the_longest_names_stay_within_a_phone(page_of, member):
    thing = make_dial_canner(
        owner=member.household,
        name="W" * 80,
        home="Q" * 160,
        use_note="Z" * 300,
        parts={"P" * 40: 500},
    )
    page = page_of(member, width=PHONE)
    overflow = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    for address in ("", "sheet/", "edit/", "hours/", "parts/", "photos/add/"):
        page.goto(f"/cottonwood/equipment/things/{thing.pk}/{address}")
        assert page.evaluate(overflow) == 0, address
    page.goto("/cottonwood/equipment/things/")
    assert page.evaluate(overflow) == 0
