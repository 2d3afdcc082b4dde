"""The settings of a co-op: all members read them, coordinators change them."""

import pytest

from coop.people.changes import changes_of
from tests.web import factories

TYPED = {
    "name": "Cottonwood Larder",
    "altitude_ft": "6200",
    "division_step_tenths": "0.5",
    "trip_cents_per_mile": "0.62",
    "time_zone": "America/Denver",
    "currency": "USD",
}


def address(coop):
    return f"/{coop.slug}/settings/"


def test_a_coordinator_changes_them_and_it_is_written_down(as_coordinator, coordinator, coop):
    assert as_coordinator.post(address(coop), TYPED).status_code == 302
    coop.refresh_from_db()
    assert (coop.altitude_ft, coop.trip_cents_per_mile) == (6200, 62)
    change = changes_of(coop, coop).get()
    assert change.sentence == "Settings changed: altitude, fuel a mile."
    assert change.before == {"altitude_ft": 5430, "trip_cents_per_mile": 70}


def test_a_step_of_half_a_pound_is_five_tenths(as_coordinator, coop):
    as_coordinator.post(address(coop), TYPED | {"division_step_tenths": "1"})
    coop.refresh_from_db()
    assert coop.division_step_tenths == 10


@pytest.mark.sqlite  # about the page alone
def test_a_member_reads_them_and_cannot_change_them(as_member, as_outsider, coop):
    page = as_member.get(address(coop)).content.decode()
    assert "5,430 ft" in page
    assert "<form" not in page.split("<main")[1]
    assert as_member.post(address(coop), TYPED).status_code == 403
    assert as_outsider.post(address(coop), TYPED).status_code == 404
    coop.refresh_from_db()
    assert coop.altitude_ft == 5430


def test_the_currency_can_change_while_nothing_is_counted_in_it(as_coordinator, coop):
    as_coordinator.post(address(coop), TYPED | {"currency": "CAD"})
    coop.refresh_from_db()
    assert coop.currency == "CAD"


def test_the_currency_stays_once_a_farm_has_a_price(as_coordinator, coop):
    factories.make_offer(factories.make_farm(coop))
    as_coordinator.post(address(coop), TYPED | {"currency": "CAD"})
    coop.refresh_from_db()
    assert coop.currency == "USD"
    assert coop.altitude_ft == 6200


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("field", "typed"),
    (
        ("altitude_ft", "-2000"),
        ("altitude_ft", "1e3"),
        ("division_step_tenths", "0"),
        ("division_step_tenths", "0.25"),
        ("trip_cents_per_mile", "-1"),
        ("trip_cents_per_mile", "0.625"),
        ("time_zone", "Denver"),
        ("currency", "usd"),
        ("name", ""),
    ),
)
def test_what_cannot_be_right_is_refused_at_its_field_and_kept(as_coordinator, coop, field, typed):
    response = as_coordinator.post(address(coop), TYPED | {field: typed})
    assert response.status_code == 422
    form = response.context["form"]
    assert field in form.errors
    assert form[field].value() == typed
    coop.refresh_from_db()
    assert coop.altitude_ft == 5430


@pytest.mark.sqlite  # about the page alone
def test_opening_the_page_changes_nothing(as_coordinator, coop):
    assert as_coordinator.get(address(coop), TYPED).status_code == 200
    coop.refresh_from_db()
    assert coop.altitude_ft == 5430
