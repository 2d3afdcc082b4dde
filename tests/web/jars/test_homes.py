"""Where a household lives: typed, pasted, and taken off again."""

from decimal import Decimal

import pytest
from django.test import Client

from coop.people.models import Change, Home, Household, Member
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_home
from tests.web.reading import main_of, text_of

pytestmark = pytest.mark.django_db
ADDRESS, FORGET = "/cottonwood/jars/home/", "/cottonwood/jars/home/forget/"


@pytest.mark.parametrize(
    ("latitude", "longitude", "kept"),
    [
        ("39.36", "-106.28", ("39.36", "-106.28")),
        ("39.36, -106.28", "", ("39.36", "-106.28")),
        ("39.36 -106.28", "", ("39.36", "-106.28")),
        ("(39.36; -106.28)", "", ("39.36", "-106.28")),
        ("39.36° N, 106.28° W", "", ("39.36", "-106.28")),
        ("S 12.5", "E 130.1", ("-12.5", "130.1")),
        ("39.3600049", "\u2212106.2800051", ("39.36000", "-106.28001")),
        ("0", "0", ("0", "0")),
        ("-90", "180", ("-90", "180")),
    ],
)
def test_a_place_is_kept_however_it_is_written(
    as_member: Client, household: Household, latitude: str, longitude: str, kept: tuple[str, str]
) -> None:
    answer = as_member.post(ADDRESS, {"latitude": latitude, "longitude": longitude})
    assert (answer.status_code, answer["Location"]) == (302, "/cottonwood/jars/spare/")
    home = Home.objects.get(household=household)
    assert (home.latitude, home.longitude) == (Decimal(kept[0]), Decimal(kept[1]))


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("latitude", "longitude", "said"),
    [
        ("", "", "Write degrees, like 39.36, -106.28"),
        ("39.36", "", "Write the longitude too"),
        ("here", "there", "Write the latitude in degrees"),
        ("90.01", "0", "from -90 to 90"),
        ("39.36", "181", "from -180 to 180"),
        ("39.36, -206.28", "", "from -180 to 180"),
        ("1, 2, 3", "", "That is no pair"),
        ("39.36 E", "106.28 W", "Write the latitude in degrees"),
        ("NaN", "0", "Write the latitude in degrees"),
        ("1e1", "0", "Write the latitude in degrees"),
        ("39.36", "-106.28, 4", "That is no pair"),
    ],
)
def test_what_is_no_place_is_refused_and_kept_in_the_form(
    as_member: Client, latitude: str, longitude: str, said: str
) -> None:
    answer = as_member.post(ADDRESS, {"latitude": latitude, "longitude": longitude})
    assert answer.status_code == 422
    assert said in text_of(answer)
    typed = main_of(answer).select_one("[name=latitude]")
    assert typed is not None
    assert typed.get("value", "") == latitude
    assert not Home.objects.exists()


def test_it_is_changed_and_the_log_does_not_say_to_what(
    as_member: Client, household: Household
) -> None:
    make_home(household)
    for _ in range(2):
        as_member.post(ADDRESS, {"latitude": "39.36", "longitude": "-106.28"})
    assert Home.objects.get(household=household).latitude == Decimal("39.36")
    change = Change.objects.get(about=f"household:{household.pk}")
    assert change.sentence == "Said where the household lives."
    assert (change.before, change.after) == ({}, {})


def test_it_is_taken_off_again_and_a_second_time_does_no_harm(
    as_member: Client, household: Household
) -> None:
    make_home(household)
    for _ in range(2):
        assert as_member.post(FORGET).status_code == 302
    assert not Home.objects.exists()
    assert Change.objects.count() == 1


def test_a_coordinator_may_for_another_household_and_a_member_may_not(
    as_coordinator: Client, as_member: Client, other_household: Household, outsider: Member
) -> None:
    place = {"latitude": "39.36", "longitude": "-106.28"}
    theirs = f"?household={other_household.pk}"
    assert as_member.get(ADDRESS + theirs).status_code == 403
    assert as_member.post(ADDRESS + theirs, place).status_code == 403
    assert as_coordinator.post(ADDRESS + theirs, place).status_code == 302
    assert as_member.post(FORGET + theirs).status_code == 403
    assert Home.objects.get().household == other_household
    absent = f"?household={outsider.household_id}"
    assert as_coordinator.post(ADDRESS + absent, place).status_code == 404
    assert as_coordinator.post(FORGET + absent).status_code == 404


def test_a_household_that_has_left_says_nothing_more(
    as_coordinator: Client, coordinator: Member
) -> None:
    gone = factories.make_household(coordinator.coop, "Gone", left_at=NOW)
    place = {"latitude": "39.36", "longitude": "-106.28"}
    assert as_coordinator.post(f"{ADDRESS}?household={gone.pk}", place).status_code == 409
    assert not Home.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_only_this_page_may_ask_the_device_where_it_is(as_member: Client) -> None:
    assert "geolocation=(self)" in as_member.get(ADDRESS).headers["Permissions-Policy"]
    assert "geolocation=()" in as_member.get("/cottonwood/jars/").headers["Permissions-Policy"]
