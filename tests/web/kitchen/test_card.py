"""The kitchen card: a plan on paper."""

import pytest

from coop.core.tables import spelled_out
from coop.kitchen.templatetags.preserving import sources
from tests.web.kitchen_factories import make_plan, make_use
from tests.web.reading import main_of, text_of

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def card(as_other_household_member, household, coop):
    """The card of a plan, as anybody of the co-op reads it."""
    coop.altitude_ft = 4680
    coop.save()

    def shown(plan):
        return as_other_household_member.get(f"/cottonwood/plans/{plan.pk}/card/")

    return shown


def test_the_card_of_corn(card, household):
    plan = make_plan(household)
    make_use(plan, 700, salt=True)
    said = text_of(card(plan))
    # USDA Complete Guide to Home Canning, 2015: whole kernel corn, see test_figures.
    assert "85 minutes at 13 psi at 4,680 ft; holds 4,001 to 6,000 ft" in said
    assert "15 quarts, regular mouth (12 to 22: have 22 clean), 15 new lids, 15 bands" in said
    assert "for the co-op's altitude, 4,680 ft, and for no other altitude" in said
    assert "Headspace: 1 in" in said
    assert "Vent: 10 minutes of full steam, then close the vent and let the pressure rise" in said
    assert "Follow the steps of the guide named below; these are its figures." in said
    assert "Salt for taste: 1 teaspoon to a jar" in said
    assert "count the whole time again" in said
    assert "From: Complete Guide to Home Canning" in said


def test_each_load_has_a_line_to_write_on_and_a_box_to_tick(card, household):
    plan = make_plan(household)
    make_use(plan, 700)
    rows = main_of(card(plan)).select("tbody tr")
    assert [row.select_one("td").text for row in rows] == ["7", "7", "1"]
    assert all(row.select_one(".pen-box") and len(row.select(".pen-column")) == 3 for row in rows)


def test_boiling_water_has_no_venting_on_the_card(card, household):
    plan = make_plan(household, "peaches")
    make_use(plan, product="halved_or_sliced", method="boiling_water")
    said = text_of(card(plan))
    # USDA Complete Guide to Home Canning, 2015: peaches, hot, quarts, 3,001 to 6,000 ft.
    assert "35 minutes at a full boil" in said
    assert "Vent" not in said


def test_the_acid_of_each_jar_stands_on_the_card(card, household):
    plan = make_plan(household, "tomato")
    make_use(plan, product="crushed", method="boiling_water", acid="bottled_lemon_juice")
    assert "2 tablespoons of bottled lemon juice into each jar" in text_of(card(plan))


@pytest.mark.parametrize(
    ("produce", "altitude_ft", "fields", "said"),
    [
        ("sweet_corn", 8001, {}, "Do not can it this way here"),
        ("tomato", 4680, {"product": "juice"}, "Not ready"),
    ],
)
def test_what_must_not_be_canned_has_no_minutes(
    card, coop, household, produce, altitude_ft, fields, said
):
    coop.altitude_ft = altitude_ft
    coop.save()
    plan = make_plan(household, produce)
    make_use(plan, **fields)
    text = text_of(card(plan))
    assert said in text
    assert "minutes at" not in text
    assert not main_of(card(plan)).select("tbody tr")


def test_frozen_and_dried_food_has_its_part_of_the_card(card, household):
    plan = make_plan(household)
    make_use(plan, 350, way="freeze")
    make_use(plan, 350, way="dry")
    said = text_of(card(plan))
    assert "14 to 17 by the published yields" in said
    assert "A freezer takes 2 to 3 lb a cubic foot in a day" in said
    # 35 lb at 3 and at 2 lb to the cubic foot; 15 pints of 0.473 litres.
    assert "at most 11.7 to 17.5 cubic feet" in said
    assert "husks and pods included; what goes in weighs less" in said
    assert "7.1 litres of containers, likely: 15 pints, or 7 1/2 quarts" in said
    assert "6 to 16 hours" in said


@pytest.mark.parametrize(("altitude_ft", "is_said"), [(1000, False), (1001, True)])
@pytest.mark.parametrize("way", ["freeze", "dry"])
def test_blanching_says_that_no_table_has_it_by_altitude(
    card, as_member, coop, household, altitude_ft, is_said, way
):
    coop.altitude_ft = altitude_ft
    coop.save()
    plan = make_plan(household)
    make_use(plan, 350, way=way)
    for page in (card(plan), as_member.get(f"/cottonwood/plans/{plan.pk}/")):
        said = text_of(page)
        assert ("no other blanching time for altitude" in said) == is_said
        assert ("Ask your local extension office what holds" in said) == is_said


def test_sources_are_told_apart_though_their_titles_have_commas():
    # The titles are those of the table of sources.
    assert sources(["USDA15", "USDA94"]) == "; ".join(map(spelled_out, ["USDA15", "USDA94"]))
    assert "," in spelled_out("USDA15")
