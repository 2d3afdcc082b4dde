"""The page of a canner's gauge tests: what the latest comes to, and whether it still holds.

USDA15 ("Complete Guide to Home Canning", USDA 2015, guide 1; see the tables' sources): have dial
gauges tested before use each year, and replace a gauge that is off by more than 2 psi.
"""

from datetime import date, timedelta

import pytest

from coop.equipment.models import GaugeTest
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import main_of, text_of

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite

TODAY = NOW.date()
OFFICE = "County extension office"


@pytest.fixture
def canner(coop):
    """A canner of the co-op with a dial gauge that was never tested."""
    return rows.make_dial_canner(coop, name="Big canner")


def url(thing):
    return f"/{thing.coop.slug}/equipment/things/{thing.pk}/gauge/"


TYPED = {"tested_on": "2026-08-10", "tester": OFFICE, "true_psi": "11", "read_psi": "12.5 psi"}


def test_the_page_says_by_how_much_it_reads_high_and_what_holds(as_coordinator, canner):
    answer = as_coordinator.post(url(canner), TYPED | {"note": "Run it a pound higher."})
    assert answer.status_code == 302
    text = text_of(as_coordinator.get(url(canner)))
    assert "It showed 12.5 psi at 11 psi: 1.5 psi high" in text
    assert "The food gets less pressure than the dial shows." in text
    assert "within 2 psi" in text  # USDA15
    assert "Run it a pound higher." in text
    assert "Complete Guide to Home Canning" in text
    assert "Due again by Tue 10 Aug 2027" in text


def test_the_page_says_when_it_must_be_replaced(as_coordinator, as_member, canner):
    as_coordinator.post(url(canner), TYPED | {"read_psi": "13.1"})
    text = text_of(as_member.get(url(canner)))
    assert "2.1 psi high" in text
    assert "the gauge must be replaced" in text


def test_a_test_over_the_limit_gets_no_tick_and_the_next_is_refused_at_its_field(
    as_coordinator, canner
):
    answer = as_coordinator.post(url(canner), TYPED | {"read_psi": "13.1"}, follow=True)
    assert "The test of Mon 10 Aug is written down. The gauge must be replaced" in text_of(answer)
    assert not main_of(answer).select(".notice-done, .chip-done")
    assert "ue again by" not in text_of(answer)
    refused = as_coordinator.post(url(canner), TYPED | {"read_psi": "11"})
    assert refused.status_code == 422
    beside = main_of(refused).select_one("#id_is_new_gauge_error")
    # USDA15, guide 1: off by more than 2 psi is replaced.
    assert "must be replaced, and the new one tested (Complete Guide" in beside.get_text()
    fixed = as_coordinator.post(
        url(canner), TYPED | {"read_psi": "11", "is_new_gauge": "on"}, follow=True
    )
    assert main_of(fixed).select(".notice-done")
    assert not canner.faults.filter(mended_at=None).exists()


@pytest.mark.parametrize("since", ("bumped", "gauge_off", "out of date"))
def test_a_test_that_no_longer_holds_is_not_green(as_member, canner, since):
    tested_on = date(2025, 8, 1) if since == "out of date" else TODAY - timedelta(days=1)
    rows.make_gauge_test(canner, tested_on=tested_on)
    assert main_of(as_member.get(url(canner))).select(".chip-done") or since == "out of date"
    if since != "out of date":
        rows.make_fault(canner, what=since)
    page = as_member.get(url(canner))
    assert not main_of(page).select(".chip-done")
    assert "read right then" in text_of(page)
    assert "Due again" not in text_of(page)
    # Before use: USDA15 each year, extension offices when bumped or off (trade notes, section 4).
    assert ("needs a test before anybody uses it" in text_of(page)) == (since != "out of date")


def test_a_member_reads_the_tests_and_writes_none(as_member, canner):
    rows.make_gauge_test(canner)
    page = as_member.get(url(canner))
    assert page.status_code == 200
    assert not main_of(page).select("form")
    assert as_member.post(url(canner), TYPED).status_code == 403
    assert canner.gauge_tests.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    (
        ("tested_on", "2026-08-12"),
        ("tested_on", "soon"),
        ("tester", " "),
        ("true_psi", "0"),
        ("true_psi", "31"),
        ("read_psi", "-1"),
        ("read_psi", "11.25"),
        ("read_psi", ""),
        ("note", "n" * 401),
    ),
)
def test_bad_input_is_refused_and_kept(as_coordinator, canner, field, value):
    answer = as_coordinator.post(url(canner), TYPED | {field: value})
    assert answer.status_code == 422
    assert "Not saved yet." in text_of(answer)
    assert not GaugeTest.objects.exists()


def test_a_weighted_gauge_says_why_it_needs_no_test(as_coordinator, coop):
    page = as_coordinator.get(url(rows.make_thing(coop, gauge="weighted")))
    # Weighted gauges need no test: Oregon State Univ. Extension 2020 (trade notes, 81).
    assert "needs no test" in text_of(page)
    assert "Oregon State University Extension" in text_of(page)
    assert not main_of(page).select("form")


def test_what_has_no_gauge_says_so(as_member, coop):
    page = as_member.get(url(rows.make_thing(coop, "dehydrator")))
    assert "has no gauge" in text_of(page)


def test_another_coops_gauge_is_not_there(as_member):
    assert as_member.get(url(rows.make_dial_canner())).status_code == 404
    other = rows.make_dial_canner()
    assert as_member.get(f"/cottonwood/equipment/things/{other.pk}/gauge/").status_code == 404
