"""Minutes for one jar: exactly as published, or plainly none."""

import pytest

from tests.web.kitchen_factories import make_kitchen
from tests.web.reading import main_of, sections_of, text_of

# The tables are files: they read alike whatever the database.
pytestmark = pytest.mark.sqlite

CORN = {
    "produce": "sweet_corn",
    "product": "whole_kernel",
    "pack": "hot",
    "method": "dial_gauge",
    "jar": "quart",
    "option": "1",
    "altitude_ft": "4680",
}


@pytest.fixture
def address(member):
    return f"/{member.coop.slug}/tables/find/"


def test_it_starts_at_the_altitude_of_the_coop_and_names_the_kitchens(as_member, address, member):
    make_kitchen(member.coop, "Grange", altitude_ft=6120)
    page = main_of(as_member.get(address))
    assert page.find("input", {"name": "altitude_ft"})["value"] == "5430"
    page = text_of(as_member.get(address, CORN))
    assert "Grange: 6,120 ft" in page


def test_a_published_process_is_shown_with_its_pressure_headspace_and_source(as_member, address):
    # USDA Complete Guide to Home Canning, 2015, guide 4: quarts of whole-kernel corn 85 minutes,
    # 13 pounds in a dial-gauge canner from 4,001 to 6,000 ft, 1 inch of headspace.
    said = sections_of(as_member.get(address, CORN))["Sweet corn, whole kernel"]
    assert "85 minutes" in said
    assert "13 psi" in said
    assert "1 in" in said
    assert "4,001 ft to 6,000 ft" in said
    assert "Complete Guide to Home Canning" in said


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"method": "boiling_water"}, "none is published in a boiling-water canner"),
        ({"jar": "half_gallon"}, "half-gallons"),
        ({"altitude_ft": "8001"}, "8,000 ft"),
        ({"altitude_ft": "-1"}, "begin at 0 ft"),
        ({"option": "3"}, "option 3"),
    ],
)
def test_what_has_no_row_is_said_plainly_with_whom_to_ask(as_member, address, changed, why):
    page = text_of(as_member.get(address, CORN | changed))
    assert "No tested process." in page
    assert why in page
    assert "extension office" in page


def test_what_is_nearest_is_shown_and_never_taken(as_member, address):
    sections = sections_of(as_member.get(address, CORN | {"method": "boiling_water"}))
    assert "85 min" in sections["What is nearest and tested"]
    assert "Sweet corn, whole kernel" not in sections


def test_food_without_any_process_says_so(as_member, address):
    page = text_of(as_member.get(address, {"produce": "eggplant", "altitude_ft": "5000"}))
    assert "No canning process is published for it at any altitude" in page
    assert "Ask for one jar" not in page


def test_where_a_canners_rows_end_the_page_says_so(as_member, address):
    # USDA15: the rows of a dial gauge end at 8,000 ft, those of a weighted gauge do not end.
    page = text_of(as_member.get(address, {"produce": "sweet_corn", "altitude_ft": "9000"}))
    assert "For a dial gauge the published table ends at 8,000 ft." in page
    assert "For a weighted gauge" not in page


def test_ones_own_kitchen_is_where_the_question_begins(as_member, household, address):
    make_kitchen(household.coop, household=household, altitude_ft=8350)
    assert main_of(as_member.get(address)).find("input", {"name": "altitude_ft"})["value"] == "8350"


def test_on_a_phone_the_figures_stand_below_what_they_are_of(as_member, address):
    page = main_of(as_member.get(address, {"produce": "okra", "altitude_ft": "5000"}))
    table = page.select_one("table.table-stacked")
    assert table.select_one("td.figures-begin").text.endswith("min")
    assert table.select_one("td[data-label=headspace]").text == "1 in"


def test_all_that_is_published_for_a_food_at_an_altitude_is_listed(as_member, address):
    page = main_of(as_member.get(address, {"produce": "okra", "altitude_ft": "5000"}))
    # USDA15: okra, hot pack, pints 25 and quarts 40 minutes; pickled okra 15 in boiling water.
    rows = {row.get_text(" ", strip=True) for row in page.select("tbody tr")}
    assert any("pint pressure canner, dial gauge 25 min 13 psi" in row for row in rows)
    assert any("quart pressure canner, weighted gauge 40 min 15 psi" in row for row in rows)


@pytest.mark.parametrize(
    "typed",
    [
        {"produce": "sweet_corn", "altitude_ft": ""},
        {"produce": "sweet_corn", "altitude_ft": "high"},
        {"produce": "sweet_corn", "altitude_ft": "4680.5"},
        {"produce": "sweet_corn", "altitude_ft": "99999"},
        {"produce": "unicorn", "altitude_ft": "4680"},
        {"produce": "", "altitude_ft": "4680"},
        CORN | {"jar": "bucket"},
        CORN | {"product": "../etc"},
    ],
)
def test_wrong_questions_are_sent_back_with_what_is_wrong(as_member, address, typed):
    response = as_member.get(address, typed)
    assert response.status_code == 422
    assert "Not looked up yet." in text_of(response)
    assert "Ensure this value" not in text_of(response)
    assert "This field is required" not in text_of(response)
    assert main_of(response).select(".field-error")


def test_it_asks_the_database_no_more_for_many_kitchens(
    as_member, address, member, django_assert_max_num_queries
):
    for number in range(30):
        make_kitchen(member.coop, f"Kitchen {number}")
    with django_assert_max_num_queries(8):
        as_member.get(address, CORN)
