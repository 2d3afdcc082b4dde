"""A load as it was run, beside the published row of what was in it."""

from datetime import date
from fractions import Fraction

import pytest

from coop.core.preserving.as_run import (
    UNTESTED,
    Filled,
    Ran,
    mixed,
    shortfalls,
    source_of_rule,
    untested_gauge,
)
from coop.core.tables import rule

CORN = Filled("sweet_corn", "whole_kernel", "hot", "quart")
BEANS = Filled("snap_beans", "pieces", "hot", "quart")
DAY = date(2026, 8, 11)


def ran(**figures):
    """Corn in quarts as USDA, Complete Guide to Home Canning (2015), guide 4, prints it for a
    dial gauge at 4,001 to 6,000 ft: 85 minutes at 13 psi."""
    usual = {"method": "dial_gauge", "minutes": 85, "psi": 13, "vent_minutes": 10}
    return Ran(**usual | {"altitude_ft": 5430} | figures)


def sentences(load, *filled):
    return [each.sentence for each in shortfalls(load, filled)]


def test_what_ran_as_published_falls_short_of_nothing():
    assert shortfalls(ran(), [CORN]) == ()


def test_longer_and_hotter_falls_short_of_nothing():
    assert shortfalls(ran(minutes=100, psi=15, vent_minutes=12), [CORN]) == ()


@pytest.mark.parametrize("minutes", (84, 1))
def test_fewer_minutes_fall_short(minutes):
    (said,) = shortfalls(ran(minutes=minutes), [CORN])
    assert "needs 85 minutes at 5,430 ft" in said.sentence
    assert "Complete Guide to Home Canning" in said.sources


def test_lower_pressure_falls_short():
    assert "needs 13 psi at 5,430 ft; it ran at 12 psi" in sentences(ran(psi=12), CORN)[0]


def test_the_same_figures_are_enough_lower_down_and_not_higher_up():
    # The same guide: 11 lb up to 2,000 ft, 13 lb at 4,001 to 6,000 ft, 14 lb at 6,001 to 8,000 ft.
    assert not shortfalls(ran(psi=11, altitude_ft=1900), [CORN])
    assert shortfalls(ran(psi=13, altitude_ft=6100), [CORN])


def test_corn_in_boiling_water_has_no_tested_process():
    load = ran(method="boiling_water", psi=None, vent_minutes=None)
    assert "There is no tested process" in sentences(load, CORN)[0]


def test_half_gallons_of_corn_have_no_tested_process():
    # USDA, Complete Guide (2015), guide 1: half-gallon jars are for very acid juices only.
    filled = Filled("sweet_corn", "whole_kernel", "hot", "half_gallon")
    assert "half-gallons" in sentences(ran(), filled)[0]


def test_what_no_table_has_is_said_in_its_own_words():
    said = sentences(ran(), Filled("Pumpkin butter", UNTESTED, "hot", "pint"))
    assert said == ["There is no tested process in the tables for pumpkin butter in pints."]


def test_venting_is_ten_minutes():
    # USDA, Complete Guide (2015), guide 1: vent steam freely for 10 minutes.
    assert rule("pressure", "vent_minutes") == 10
    assert sentences(ran(vent_minutes=9), CORN)[0].endswith("it did for 9.")
    assert "nobody wrote down" in sentences(ran(vent_minutes=None), CORN)[0]


def test_boiling_water_is_not_vented():
    load = Ran("boiling_water", 100, None, None, 0)
    peaches = Filled("peaches", "halved_or_sliced", "hot", "quart")
    assert shortfalls(load, [peaches]) == ()


def test_jars_that_need_other_minutes_do_not_share_a_load():
    found = mixed(ran(), [CORN, BEANS])
    assert found is not None
    # Beans in quarts under a dial gauge: 25 minutes, in the same guide.
    assert "25 minutes at 13 psi" in found.sentence
    assert "85 minutes at 13 psi" in found.sentence
    assert shortfalls(ran(), [CORN, BEANS]) == ()


def test_jars_that_need_the_same_share_a_load():
    assert mixed(ran(), [CORN, CORN]) is None


def test_what_has_no_row_is_not_called_mixed():
    assert mixed(ran(), [CORN, Filled("Soup", UNTESTED, "hot", "pint")]) is None


def test_a_dial_gauge_is_tested_each_year():
    # USDA, Complete Guide (2015), guide 1: gauges are checked for accuracy before use each year.
    assert rule("pressure", "dial_gauge_test_interval") == Fraction(12)
    assert untested_gauge("dial_gauge", DAY, date(2025, 8, 11)) is None
    late = untested_gauge("dial_gauge", DAY, date(2025, 8, 10))
    assert late is not None
    assert "last tested on 10 Aug 2025" in late.sentence
    assert "USDA15" in late.source


def test_a_gauge_that_nobody_knows_of_is_told():
    assert untested_gauge("dial_gauge", DAY, None) is not None


@pytest.mark.parametrize("method", ("weighted_gauge", "boiling_water"))
def test_other_canners_have_no_gauge_to_test(method):
    assert untested_gauge(method, DAY, None) is None


def test_a_year_before_the_29th_of_february_is_the_28th():
    assert untested_gauge("dial_gauge", date(2028, 2, 29), date(2027, 2, 28)) is None
    assert untested_gauge("dial_gauge", date(2028, 2, 29), date(2027, 2, 27)) is not None


def test_a_rule_that_is_not_published_has_no_source():
    with pytest.raises(LookupError):
        source_of_rule("pressure", "colour")
