"""Seals are tried 12 to 24 hours after the load; what did not seal goes somewhere.

The hours and the headspace are those of USDA, Complete Guide to Home Canning (2015), guide 1; they
stand in canner_rules.csv.
"""

from datetime import timedelta

import pytest

from coop.core.tables import rule
from coop.kitchen.models import Fate, SealCheck
from coop.people.models import Change
from tests.web import factories
from tests.web.kitchen.loading import page
from tests.web.kitchen_factories import make_fate, make_load, make_lot, make_taken
from tests.web.reading import main_of, text_of


@pytest.fixture
def ended(member):
    """A lot of seven that came out of a load that ended so many hours ago."""

    def ended(hours, **fields):
        at = factories.NOW - timedelta(hours=hours)
        load = make_load(member.coop, ended_at=at, day=at.date(), **fields.pop("load", {}))
        return make_lot(member.household, load=load, counted_out=7, **fields)

    return ended


def try_seals(client, member, lot, sealed):
    return client.post(page(member, "seals", lot.pk), {"sealed": sealed})


def tell(client, member, lot, **fates):
    return client.post(page(member, "unsealed", lot.pk), fates)


def told(lot):
    return dict(lot.fates.values_list("what", "count"))


def sealed_of(lot):
    return list(SealCheck.objects.filter(lot=lot).values_list("sealed", flat=True))


def test_the_published_figures():
    # USDA, Complete Guide (2015), guide 1: cool 12 to 24 hours; reprocess within 24 hours; if
    # frozen, adjust headspace to 1-1/2 inches.
    assert rule("both", "cooling_hours_low") == 12
    assert rule("both", "cooling_hours_high") == 24
    assert rule("both", "reprocess_within_hours") == 24
    assert rule("both", "unsealed_jar_freezing_headspace") * 2 == 3


# ---- Seals ----------------------------------------------------------------------------------
def test_before_twelve_hours_the_hour_is_said_and_nothing_is_saved(as_member, member, ended):
    lot = ended(11.9)
    address = page(member, "seals", lot.pk)
    # The heat went off at 21:06 in Denver.
    sentence = "Try the seals not before 9:06 on Tue 11 Aug"
    shown = as_member.get(address)
    assert sentence in text_of(shown)
    assert main_of(shown).select_one("form") is None
    answer = try_seals(as_member, member, lot, 7)
    assert answer.status_code == 409
    assert sentence in text_of(answer)
    assert sealed_of(lot) == []
    assert sentence in text_of(as_member.get(page(member, "lot", lot.pk)))


@pytest.mark.parametrize("hours", (12, 23, 48))
def test_from_twelve_hours_on_seals_are_written_down(as_member, member, ended, hours):
    lot = ended(hours)
    answer = try_seals(as_member, member, lot, 7)
    assert answer.headers["Location"] == page(member, "lot", lot.pk)
    assert sealed_of(lot) == [7]
    assert Change.objects.get(about=f"lot:{lot.pk}").sentence == "7 of 7 jars sealed"
    assert "7 on the shelf" in text_of(as_member.get(page(member, "lot", lot.pk)))


def test_what_did_not_seal_leads_to_its_fate(as_member, member, ended):
    lot = ended(13)
    answer = try_seals(as_member, member, lot, 5)
    assert answer.headers["Location"] == page(member, "unsealed", lot.pk)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("sealed", ("8", "-1", "", "all"))
def test_no_more_seal_than_came_out(as_member, member, ended, sealed):
    lot = ended(13)
    assert try_seals(as_member, member, lot, sealed).status_code == 422
    assert sealed_of(lot) == []


def test_jars_are_counted_out_before_their_seals(as_member, member, ended):
    lot = ended(13)
    lot.counted_out = None
    lot.save()
    assert "Count the jars out first" in text_of(as_member.get(page(member, "seals", lot.pk)))
    assert try_seals(as_member, member, lot, 0).status_code == 422
    assert sealed_of(lot) == []


def test_a_second_try_mends_the_first(as_member, member, ended):
    lot = ended(13)
    try_seals(as_member, member, lot, 5)
    try_seals(as_member, member, lot, 6)
    assert sealed_of(lot) == [6]
    latest = Change.objects.filter(about=f"lot:{lot.pk}").latest("id")
    assert (latest.before, latest.after) == ({"sealed": 5}, {"sealed": 6})


def test_seals_are_not_mended_below_what_was_taken_or_above_what_has_a_fate(
    as_member, member, ended
):
    lot = ended(13, sealed=5)
    make_taken(lot, 3)
    make_fate(lot, count=2)
    assert "3 were taken off the shelf" in text_of(try_seals(as_member, member, lot, 2))
    assert "2 are told as not sealed" in text_of(try_seals(as_member, member, lot, 6))
    assert sealed_of(lot) == [5]


@pytest.mark.sqlite  # about the page alone
def test_who_may_try_seals(as_coordinator, as_other_household_member, as_outsider, member, ended):
    lot = ended(13)
    assert try_seals(as_other_household_member, member, lot, 7).status_code == 403
    assert try_seals(as_outsider, member, lot, 7).status_code == 404
    assert sealed_of(lot) == []
    assert try_seals(as_coordinator, member, lot, 7).status_code == 302


def test_who_wrote_the_load_may_try_everybodys_seals(
    as_other_household_member, other_household_member, member, ended
):
    lot = ended(13, load={"by": other_household_member})
    assert try_seals(as_other_household_member, member, lot, 7).status_code == 302


# ---- What became of the rest ----------------------------------------------------------------
def test_the_fates_may_be_split(as_member, member, ended):
    lot = ended(13, sealed=3)
    answer = tell(as_member, member, lot, reprocessed=2, fridge=1, freezer=1, note="Thin lids")
    assert answer.headers["Location"] == page(member, "lot", lot.pk)
    assert told(lot) == {"reprocessed": 2, "fridge": 1, "freezer": 1}
    shown = text_of(as_member.get(page(member, "lot", lot.pk)))
    assert "1 jar into the freezer: Thin lids" in shown
    assert "Write down the load they went into" in shown


def test_a_jar_for_the_freezer_gets_its_headspace(as_member, member, ended):
    lot = ended(13, sealed=6)
    shown = text_of(as_member.get(page(member, "unsealed", lot.pk)))
    assert "Leave 1 1/2 in of headspace" in shown


@pytest.mark.parametrize(
    "fates", ({"fridge": 3}, {"fridge": 2, "thrown_out": 1}, {"fridge": -1}, {"fridge": "two"})
)
def test_no_more_go_anywhere_than_did_not_seal(as_member, member, ended, fates):
    lot = ended(13, sealed=5)
    assert tell(as_member, member, lot, **fates).status_code == 422
    assert told(lot) == {}


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("fates", ({}, {"fridge": 0, "freezer": 0}))
def test_nothing_said_is_refused_with_a_sentence(as_member, member, ended, fates):
    lot = ended(13, sealed=5)
    answer = tell(as_member, member, lot, **fates)
    assert answer.status_code == 422
    assert "2 jars did not seal: say at least of one" in text_of(answer)
    assert not Change.objects.exists()


def test_what_was_told_by_a_slip_can_be_taken_back(as_member, member, ended):
    lot = ended(13, sealed=5)
    tell(as_member, member, lot, fridge=2)
    assert tell(as_member, member, lot, fridge=0).status_code == 302
    assert told(lot) == {}


def test_what_was_told_may_be_mended_and_told_twice(as_member, member, ended):
    lot = ended(13, sealed=5)
    for _ in range(2):
        tell(as_member, member, lot, fridge=2)
    assert told(lot) == {"fridge": 2}
    assert Change.objects.filter(about=f"lot:{lot.pk}").count() == 1
    tell(as_member, member, lot, fridge=1, thrown_out=1)
    assert told(lot) == {"fridge": 1, "thrown_out": 1}


def test_at_24_hours_a_jar_may_still_be_processed_again(as_member, member, ended):
    lot = ended(24, sealed=6)
    assert tell(as_member, member, lot, reprocessed=1).status_code == 302
    assert told(lot) == {"reprocessed": 1}


def test_after_24_hours_it_is_not_offered_and_not_taken(as_member, member, ended):
    lot = ended(24.1, sealed=6)
    shown = as_member.get(page(member, "unsealed", lot.pk))
    assert main_of(shown).select_one("input[name=reprocessed]") is None
    assert "processed again only within 24 hours of the load" in text_of(shown)
    assert "Complete Guide to Home Canning" in text_of(shown)
    tell(as_member, member, lot, reprocessed=1)
    assert told(lot) == {}
    assert tell(as_member, member, lot, thrown_out=1).status_code == 302


def test_the_act_itself_refuses_it_after_24_hours(member, ended):
    from coop.kitchen.actions.seals import tell_fates
    from coop.kitchen.errors import Refused

    lot = ended(24.1, sealed=6)
    with pytest.raises(Refused, match="within 24 hours"):
        tell_fates(lot.pk, {"reprocessed": 1}, by=member)


def test_what_was_processed_again_in_time_stays_told_later(as_member, member, ended):
    lot = ended(30, sealed=4)
    make_fate(lot, Fate.What.REPROCESSED, 2)
    assert "2 jars of them were processed again in time" in text_of(
        as_member.get(page(member, "unsealed", lot.pk))
    )
    tell(as_member, member, lot, fridge=1)
    assert told(lot) == {"reprocessed": 2, "fridge": 1}
    assert tell(as_member, member, lot, fridge=2).status_code == 422


def test_jars_of_a_suspect_load_are_not_processed_again(as_member, member, ended):
    suspect = {"suspect_at": factories.NOW, "suspect_why": "Nobody vented"}
    lot = ended(13, sealed=6, load=suspect)
    shown = as_member.get(page(member, "unsealed", lot.pk))
    assert main_of(shown).select_one("input[name=reprocessed]") is None
    assert "Its load is suspect" in text_of(shown)
    assert "To be eaten" not in text_of(shown)


def test_before_the_seals_nothing_has_a_fate(as_member, member, ended):
    lot = ended(13)
    assert "not tried yet" in text_of(as_member.get(page(member, "unsealed", lot.pk)))
    assert tell(as_member, member, lot, fridge=1).status_code == 422
    assert told(lot) == {}


@pytest.mark.sqlite  # about the page alone
def test_who_may_tell(as_other_household_member, as_outsider, member, ended):
    lot = ended(13, sealed=6)
    assert tell(as_other_household_member, member, lot, fridge=1).status_code == 403
    assert tell(as_outsider, member, lot, fridge=1).status_code == 404
    assert told(lot) == {}


def test_fewer_came_out_cannot_be_said_once_all_have_their_end(as_member, member, ended):
    lot = ended(13, sealed=5)
    make_fate(lot, count=2)
    typed = {"counted_out": 6, "why": "A slip"}
    answer = as_member.post(page(member, "count_out", lot.pk), typed)
    assert "fewer cannot have come out" in text_of(answer)
