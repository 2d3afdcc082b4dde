"""A warning goes to every household that has the jars, until somebody of it has read it."""

from datetime import timedelta

import pytest

from coop.kitchen.actions.warnings import read_warning, warn
from coop.notices.models import Matter, Notice
from coop.notices.sources import put_right
from tests.web import kitchen_factories as rows
from tests.web.factories import make_member
from tests.web.notices.postman import post

SAID = "The gauge read 3 psi high."


@pytest.fixture
def load(coop, coordinator, household, member, other_household, other_household_member):
    """Jars of two households, on their shelves."""
    load = rows.make_load(coop, by=coordinator)
    for each in (household, other_household):
        rows.make_lot(each, sealed=7, load=load)
    return load


@pytest.fixture
def warning(load, coordinator):
    return warn(load, SAID, by=coordinator)


def test_who_has_the_jars_is_told_not_to_eat_them(
    warning, member, other_household_member, treasurer
):
    by_address = {letter.to[0]: letter for letter in post()}
    assert set(by_address) == {member.user.email, other_household_member.user.email}
    mine = by_address[member.user.email]
    assert mine.subject.startswith("Do not eat: lot 10")
    assert mine.body.startswith("Do not eat from these jars. Read the warning")
    body = " ".join(mine.body.split())
    assert SAID in body
    assert "as poison" in body  # caution spoilage_1: USDA, Complete Guide (2015), guide 1
    assert f"/warnings/{warning.pk}/" in body


@pytest.mark.sqlite  # about the page alone
def test_this_week_says_it_once(warning, coop, member, as_member):
    shown = as_member.get(f"/{coop.slug}/").content.decode()
    assert shown.count("Do not eat: ") == 1
    assert Notice.objects.get(member=member).matter.title.startswith("Do not eat: ")


def test_once_one_of_the_household_has_read_it_nobody_of_it_is_told(
    warning, household, member, other_household_member
):
    make_member(household)
    read_warning(warning, by=member)
    assert [letter.to for letter in post()] == [[other_household_member.user.email]]
    assert not Matter.objects.filter(household=household, dropped_at=None).exists()


def test_a_load_that_becomes_suspect_with_its_warning_is_told_once(load, coordinator, member):
    warn(load, SAID, by=coordinator, is_suspect=True)
    kinds = Matter.objects.filter(household=member.household).values_list("kind", flat=True)
    assert list(kinds) == ["jar_warning"]


@pytest.mark.sqlite
def test_the_same_warning_sent_twice_is_told_once(load, coordinator):
    warn(load, SAID, by=coordinator)
    warn(load, SAID, by=coordinator)
    assert len(post()) == 2


def test_there_is_nothing_to_put_right(coop, warning, member, coordinator, load, clock):
    assert put_right(coop) == {}
    post()
    clock.shift(timedelta(hours=1))
    read_warning(warning, by=member)
    warn(load.lots.first(), "There was glass in one.", by=coordinator, is_suspect=True)
    assert put_right(coop) == {}
    assert Matter.objects.filter(dropped_at=None).count() == 2
