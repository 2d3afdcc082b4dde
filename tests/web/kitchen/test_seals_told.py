"""Who has jars in a load is told to try their seals; of suspect jars no letter makes a chore.

The hours are those of USDA, Complete Guide to Home Canning (2015), guide 1: jars cool for 12 to 24
hours, and one that did not seal is processed again within 24 hours.
"""

from datetime import timedelta

import pytest

from coop.core.preserving.as_run import Filled
from coop.kitchen.actions.loads import AsRun, add_lot, edit_load, suspect_load, write_load
from coop.kitchen.actions.lots import JarsIn, count_out
from coop.kitchen.actions.seals import tell_fates, try_seals
from coop.kitchen.actions.shelf import take, untake
from coop.kitchen.actions.told_anew import correct_jars_in, say_origin
from coop.kitchen.actions.warnings import read_warning, warn
from coop.kitchen.models import Taken
from coop.notices.models import Matter, Notice
from coop.notices.sources import put_right
from coop.people.actions.households import Details, edit_household
from tests.web.factories import NOW, make_farm
from tests.web.notices.postman import post

CORN = Filled("sweet_corn", "whole_kernel", "hot", "quart")
ENDED = NOW - timedelta(minutes=30)  # 8:30 in Denver


def as_run(by, ended_at=ENDED, minutes=85):
    """As published for corn in quarts at 5,430 ft: guide 4, hot pack, dial gauge, 13 psi."""
    return AsRun(
        "The big canner", "dial_gauge", ended_at, minutes, psi=13, vent_minutes=10, watcher=by
    )


@pytest.fixture
def load(coordinator, household, member, other_household, other_household_member):
    """Three quarts of the member's household and two of another, written by the coordinator."""
    jars = [JarsIn(household, CORN, 3), JarsIn(other_household, CORN, 2)]
    return write_load(as_run(coordinator), jars, by=coordinator)


def lot_of(load, household):
    return load.lots.get(household=household)


def sealed_at(clock, lot, count, *, by, hours=13):
    clock.move_to(ENDED + timedelta(hours=hours))
    count_out(lot.pk, lot.counted_in, by=by)
    return try_seals(lot.pk, count, by=by)


def told(member):
    """What stands to be told to the member by mail, from now on."""
    ahead = Notice.objects.filter(member=member, mail=None, mail_at__isnull=False)
    return list(ahead.values_list("matter__kind", flat=True).order_by("due_at"))


def letters_to(member):
    return [letter for letter in post() if letter.to == [member.user.email]]


# ---- Sent -----------------------------------------------------------------------------------
def test_after_twelve_hours_each_household_is_told_of_its_own_jars(
    load, member, other_household_member, coordinator, clock
):
    clock.move_to(ENDED + timedelta(hours=12, minutes=-1))
    assert post() == []
    clock.move_to(ENDED + timedelta(hours=12))
    by_address = {letter.to[0]: letter for letter in post()}
    assert set(by_address) == {member.user.email, other_household_member.user.email}
    mine = by_address[member.user.email]
    assert mine.subject == "Sweet corn, whole kernel: try the seals until Wed 12 Aug at 8:30"
    first = mine.body.splitlines()[0]
    assert first.startswith("Count out 3 quarts, lot 10 ")
    assert first.endswith("until Wed 12 Aug at 8:30.")
    assert "2 quarts, lot" in by_address[other_household_member.user.email].body


def test_the_letter_says_what_to_do_with_a_jar_that_did_not_seal_and_who_says_so(
    load, member, clock
):
    clock.move_to(ENDED + timedelta(hours=12))
    (letter,) = letters_to(member)
    body = " ".join(letter.body.split())
    # USDA, Complete Guide (2015), guide 1, "Reprocessing unsealed jars".
    assert "reprocessed within 24 hours with a new lid for the full time" in body
    assert "no jar of this load is processed again after Wed 12 Aug at 8:30" in body
    assert "Source: Complete Guide to Home Canning" in body
    assert f"/lots/{lot_of(load, member.household).pk}/" in body


def test_two_hours_before_the_end_they_are_told_again_when_the_quiet_hours_end(load, member, clock):
    clock.move_to(ENDED + timedelta(hours=12))
    post()
    clock.move_to(ENDED + timedelta(hours=22))  # 6:30 in Denver, half an hour before
    assert post() == []
    clock.shift(timedelta(minutes=30))
    assert len(letters_to(member)) == 1


def test_a_load_written_down_late_is_told_at_once_and_after_a_day_not_at_all(
    coordinator, household, member
):
    jars = [JarsIn(household, CORN, 7)]
    write_load(as_run(coordinator, NOW - timedelta(hours=23)), jars, by=coordinator)
    assert len(letters_to(member)) == 1
    write_load(as_run(coordinator, NOW - timedelta(hours=25)), jars, by=coordinator)
    assert post() == []


# ---- Moved ----------------------------------------------------------------------------------
def test_mending_the_hour_of_the_load_moves_it(load, member, coordinator, clock):
    edit_load(load.pk, as_run(coordinator, ENDED - timedelta(hours=2)), by=coordinator)
    clock.move_to(ENDED + timedelta(hours=10))
    (letter,) = letters_to(member)
    assert "until Wed 12 Aug at 6:30" in letter.subject


def test_it_says_how_many_went_in_and_came_out_as_it_is_known(load, household, member, clock):
    lot = lot_of(load, household)
    correct_jars_in(lot.pk, 5, by=member)
    count_out(lot.pk, 4, "One broke", by=member)
    clock.move_to(ENDED + timedelta(hours=12))
    (letter,) = letters_to(member)
    assert letter.body.startswith("Try the seals of 4 quarts, lot")


def test_a_lot_that_is_added_is_told_with_the_others(load, household, member, clock):
    add_lot(load.pk, JarsIn(household, CORN, 2, note="From the freezer"), by=member)
    clock.move_to(ENDED + timedelta(hours=12))
    (letter,) = letters_to(member)
    assert letter.subject.startswith("The big canner, load 1 of 11 Aug 2026: try the seals until")
    body = " ".join(letter.body.split())
    assert body.startswith("Count out your 2 lots, and try the seals")
    assert "Sweet corn, whole kernel: 2 quarts, lot" in body


# ---- Dropped --------------------------------------------------------------------------------
def test_seals_that_are_tried_are_told_no_more_the_others_jars_are(
    load, household, member, other_household_member, clock
):
    sealed_at(clock, lot_of(load, household), 3, by=member)
    assert told(member) == []
    assert told(other_household_member) == ["seal_check", "seal_check"]


def test_a_jar_that_did_not_seal_is_told_until_somebody_says_where_it_went(
    load, household, member, clock
):
    lot = sealed_at(clock, lot_of(load, household), 2, by=member)
    clock.move_to(ENDED + timedelta(hours=23))
    (letter,) = letters_to(member)
    assert "say what did not seal until Wed 12 Aug at 8:30" in letter.subject
    assert letter.body.startswith("Say what became of 1 jar, lot")
    assert Matter.objects.filter(household=household, dropped_at=None).exists()
    tell_fates(lot.pk, {"fridge": 1}, by=member)
    assert not Matter.objects.filter(household=household, dropped_at=None).exists()


# ---- Suspect jars ---------------------------------------------------------------------------
def test_of_a_suspect_load_no_seal_is_tried_and_its_jars_are_not_to_be_eaten(
    load, member, other_household_member, coordinator
):
    suspect_load(load.pk, "The gauge read 3 psi high", by=coordinator)
    assert told(member) == told(other_household_member) == ["jar_suspect"]
    (letter,) = letters_to(member)
    body = " ".join(letter.body.split())
    assert letter.subject.startswith("Do not eat: lot")
    assert body.startswith("Do not eat from these jars, sealed or not.")
    assert "The gauge read 3 psi high" in body
    assert "as poison" in body  # caution spoilage_1: USDA, Complete Guide (2015), guide 1
    assert "reprocessed within" not in body


def test_a_load_that_is_suspect_no_more_waits_for_its_seals_again(load, member, coordinator):
    edit_load(load.pk, as_run(coordinator, minutes=60), by=coordinator, ran_so=True)
    assert told(member) == ["jar_suspect"]
    edit_load(load.pk, as_run(coordinator), by=coordinator)
    assert told(member) == ["seal_check", "seal_check"]


def test_a_load_that_stays_suspect_is_told_once(load, member, coordinator, clock):
    edit_load(load.pk, as_run(coordinator, minutes=60), by=coordinator, ran_so=True)
    post()
    clock.shift(timedelta(minutes=10))
    edit_load(load.pk, as_run(coordinator, minutes=61), by=coordinator, ran_so=True)
    assert post() == []


def test_who_was_given_jars_of_it_is_told_too(load, household, member, treasurer, clock):
    lot = sealed_at(clock, lot_of(load, household), 3, by=member)
    taken = take(lot, Taken.What.GIVEN, 2, given_to=treasurer.household, by=member)
    suspect_load(load.pk, "Nobody watched it", by=load.by)
    assert told(treasurer) == ["jar_suspect"]
    untake(taken, by=member)
    assert told(treasurer) == []


def test_jars_that_somebody_warns_of_are_no_chore_for_their_household_alone(
    load, household, member, other_household_member, coordinator
):
    warn(lot_of(load, household), "There was glass in one.", by=coordinator)
    assert told(member) == ["jar_warning"]
    assert told(other_household_member) == ["seal_check", "seal_check"]


def test_what_suspect_jars_were_processed_again_into_is_suspect_too(
    load, household, member, coordinator, clock
):
    lot = sealed_at(clock, lot_of(load, household), 1, by=member)
    tell_fates(lot.pk, {"reprocessed": 2}, by=member)
    jars = [JarsIn(household, CORN, 2)]
    again = write_load(as_run(coordinator, ENDED + timedelta(hours=13)), jars, by=member, again=lot)
    assert told(member) == ["seal_check", "seal_check"]
    suspect_load(load.pk, "The gauge read 3 psi high", by=coordinator)
    assert told(member) == ["jar_suspect"]
    assert (
        "2 quarts of sweet corn"
        in Matter.objects.get(kind="jar_suspect", household=household).title
    )
    tell_fates(lot.pk, {"fridge": 2}, by=member)
    assert Matter.objects.filter(about=f"load:{again.pk}", dropped_at=None).exists()


# ---- All together ---------------------------------------------------------------------------
def test_after_a_long_story_there_is_nothing_to_put_right(
    coop, load, household, member, other_household_member, coordinator, treasurer, clock
):
    assert put_right(coop) == {}
    lot = sealed_at(clock, lot_of(load, household), 1, by=member)
    assert put_right(coop) == {}
    tell_fates(lot.pk, {"reprocessed": 2}, by=member)
    jars = [JarsIn(household, CORN, 2)]
    second = as_run(coordinator, ENDED + timedelta(hours=12, minutes=40))
    again = write_load(second, jars, by=member, again=lot)
    taken = take(lot, Taken.What.GIVEN, 1, given_to=treasurer.household, by=member)
    assert put_right(coop) == {}
    say_origin(lot.pk, farm=make_farm(coop), by=member)
    suspect_load(load.pk, "The gauge read 3 psi high", by=coordinator)
    assert put_right(coop) == {}
    untake(taken, by=member)
    edit_household(household.pk, Details("Castell-Brun"), by=member)
    assert put_right(coop) == {}
    warning = warn(load, "Do not eat these.", by=coordinator)
    read_warning(warning, by=member)
    assert put_right(coop) == {}
    clock.shift(timedelta(hours=2))
    post()
    edit_load(again.pk, as_run(coordinator, second.ended_at, 60), by=coordinator, ran_so=True)
    tell_fates(lot.pk, {"fridge": 2}, by=member)
    assert put_right(coop) == {}
    assert Matter.objects.filter(dropped_at=None).exists()
