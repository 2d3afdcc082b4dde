"""This week says what lots wait for, with its hour."""

from datetime import timedelta

import pytest

from tests.web import factories
from tests.web.kitchen_factories import make_fate, make_load, make_lot
from tests.web.reading import sections_of


@pytest.fixture
def due(sign_in):
    """What is due from a member's household."""

    def due(member):
        page = sign_in(member).get(f"/{member.coop.slug}/")
        return sections_of(page).get("Due from you", "")

    return due


def lot_of(member, hours, **fields):
    at = factories.NOW - timedelta(hours=hours)
    load = make_load(member.coop, ended_at=at, day=at.date())
    return make_lot(member.household, load=load, **fields)


def test_jars_are_to_be_counted_out(due, member):
    lot_of(member, 1)
    said = due(member)
    assert "Count out 7 quarts" in said
    assert "Seals are tried from tonight at 20:00" in said


@pytest.mark.sqlite  # about the page alone
def test_before_twelve_hours_the_hour_to_try_seals_is_said(due, member):
    lot_of(member, 2, counted_out=7)
    said = due(member)
    assert "Try the seals of 7 quarts" in said
    assert "Seals are tried from tonight at 19:00" in said
    assert "now" not in said.split()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("hours", (12, 23.9))
def test_from_twelve_to_24_hours_it_is_now(due, member, hours):
    lot_of(member, hours, counted_out=7)
    said = due(member)
    assert "Try the seals of 7 quarts now" in said
    assert "Try the seals until" in said


@pytest.mark.sqlite  # about the page alone
def test_after_24_hours_only_fridge_freezer_or_bin_are_left(due, member):
    lot_of(member, 24.1, counted_out=7)
    said = due(member)
    assert "over 24 h" in said
    assert "what did not seal goes into the fridge, the freezer or the bin" in said


@pytest.mark.sqlite  # about the page alone
def test_jars_that_were_never_counted_out_are_told_to_be_late_as_well(due, member):
    lot_of(member, 25)
    said = due(member)
    assert "Count out 7 quarts over 24 h" in said
    assert "the fridge, the freezer or the bin" in said


def test_unsealed_jars_wait_for_their_fate(due, member):
    lot = lot_of(member, 14, sealed=5)
    make_fate(lot, count=1)
    said = due(member)
    assert "1 jar did not seal" in said
    assert "they may be processed again until tonight at 19:00" in said


@pytest.mark.sqlite  # about the page alone
def test_unsealed_jars_after_24_hours(due, member):
    lot_of(member, 30, sealed=5)
    assert "Only the fridge, the freezer or the bin is left: say which" in due(member)


@pytest.mark.sqlite  # about the page alone
def test_what_is_done_waits_for_nothing(due, member):
    make_fate(lot_of(member, 14, sealed=6))
    lot_of(member, 14, sealed=7)
    make_lot(member.household, way="freeze")
    assert due(member) == ""


def test_other_households_jars_are_not_told(due, member, other_household_member, outsider):
    lot_of(other_household_member, 14, counted_out=7)
    lot_of(outsider, 14, counted_out=7)
    assert due(member) == ""


@pytest.mark.sqlite  # about the page alone
def test_each_act_of_a_lot_has_its_button(sign_in, member):
    for hours, fields in ((1, {}), (13, {"counted_out": 7}), (14, {"sealed": 5})):
        lot_of(member, hours, **fields)
    shown = sign_in(member).get(f"/{member.coop.slug}/").content.decode()
    for address in ("count-out", "seals", "unsealed"):
        assert shown.count(f"/{address}/") == 1


@pytest.mark.sqlite  # as many queries on any database
def test_it_asks_the_database_as_often_for_many_lots(
    as_member, member, django_assert_num_queries, django_assert_max_num_queries
):
    address = f"/{member.coop.slug}/"

    def lots(number):
        for _ in range(number):
            lot_of(member, 14, counted_out=7)

    lots(5)
    with django_assert_max_num_queries(30) as first:
        assert as_member.get(address).content.decode().count("Try the seals of") == 5
    lots(5)
    with django_assert_num_queries(len(first)):
        assert as_member.get(address).content.decode().count("Try the seals of") == 10
