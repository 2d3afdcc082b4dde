"""Freezing by published figures."""

from fractions import Fraction

import pytest

from coop.core import tables
from coop.core.preserving import (
    NoPublishedYield,
    freezing_blanch,
    freezing_forms,
    plan_freezing,
    pounds_to_freeze,
)
from tests.core.published import published


def test_a_bushel_of_corn_makes_fourteen_to_seventeen_pints() -> None:
    # Michigan State University Extension, Food Preservation Series, sweet corn: 35 pounds in husk,
    # 14 to 17 pints, 2 to 2.5 pounds a pint, blanched 4 minutes on the ear before it is cut.
    plan = plan_freezing("sweet_corn", "whole_kernel", 35, "pint")
    assert (plan.containers_low, plan.containers_likely, plan.containers_high) == (14, 15, 17)
    assert plan.blanch_minutes == 4
    assert "before cutting" in plan.blanch_note
    assert plan.source == ("MSUE_CORN", "UMAINE4048")


def test_quarts_hold_two_pints() -> None:
    plan = plan_freezing("strawberries", "whole_or_sliced", 36, "quart")
    # Michigan Fresh: strawberries (Michigan State University Extension, 2023): 36 pounds, 36 pints.
    assert (plan.containers_low, plan.containers_likely, plan.containers_high) == (18, 18, 18)
    assert plan.blanch_minutes == 0


def test_litres_are_those_of_the_likely_containers() -> None:
    # A US liquid pint is 0.473176473 litres: a gallon is 231 cubic inches (NIST Handbook 44).
    plan = plan_freezing("strawberries", "whole_or_sliced", 10, "pint")
    assert plan.litres == 10 * Fraction("0.473176473")
    inch_litres = Fraction(254, 10000) ** 3 * 1000
    assert abs(plan.litres - 10 * Fraction(231, 8) * inch_litres) < Fraction(1, 10**6)


def test_a_freezer_takes_two_to_three_pounds_per_cubic_foot_in_a_day() -> None:
    # University of Maine Cooperative Extension, bulletin 4384: 2 to 3 pounds.
    assert "2 to 3 lb of food per cubic foot" in tables.caution("freezing_1").gist
    plan = plan_freezing("peaches", "sliced_or_halved", 48, "pint")
    assert (plan.daily_cubic_feet_low, plan.daily_cubic_feet_high) == (16, 24)
    assert tables.caution("freezing_1").gist in plan.cautions


def test_by_the_pound_alone_the_middle_is_likely() -> None:
    # University of Georgia, Weights and Processed Yields: pears, 1 to 1.5 pounds a frozen pint.
    plan = plan_freezing("pears", "slices", 15, "pint")
    assert (plan.containers_low, plan.containers_likely, plan.containers_high) == (10, 12, 15)
    assert plan.blanch_minutes is None


def test_what_is_blanched_is_warned_of_and_what_is_not_is_not() -> None:
    blanching = tables.caution("freezing_2").gist
    assert blanching in plan_freezing("sweet_corn", "whole_kernel", 35, "pint").cautions
    assert blanching not in plan_freezing("blueberries", "whole", 9, "pint").cautions


def test_minutes_of_blanching_come_also_where_no_yield_is_published() -> None:
    # University of Maine Cooperative Extension, bulletin 4384: snap beans, 3 minutes.
    assert freezing_blanch("snap_beans", "green_or_wax_pieces").minutes == 3
    with pytest.raises(NoPublishedYield, match="No yield of snap beans, green or wax pieces"):
        plan_freezing("snap_beans", "green_or_wax_pieces", 9, "pint")


def test_a_form_without_a_yield_names_the_one_that_has_it() -> None:
    with pytest.raises(NoPublishedYield) as refused:
        plan_freezing("sweet_corn", "cob_small_ears", 35, "pint")
    assert refused.value.sentence.endswith("One is for whole kernel.")


def test_what_is_not_in_the_table_has_no_forms_and_is_refused() -> None:
    assert freezing_forms("peaches") == ["sliced_or_halved"]
    assert freezing_forms("kohlrabi") == []
    with pytest.raises(NoPublishedYield, match="freezing kohlrabi, diced"):
        freezing_blanch("kohlrabi", "diced")
    with pytest.raises(NoPublishedYield, match="freezing kohlrabi, diced"):
        plan_freezing("kohlrabi", "diced", 1, "pint")


def test_every_form_is_planned_or_refused_with_a_sentence() -> None:
    planned = 0
    for row in published("freezing_yields"):
        produce, form = row["produce"], row["form"]
        assert form in freezing_forms(produce)
        if row["container_lb"] or row["lb_per_pint_low"]:
            planned += 1
            plan = plan_freezing(produce, form, 100, "pint")
            assert 0 < plan.containers_low <= plan.containers_likely <= plan.containers_high
        else:
            with pytest.raises(NoPublishedYield, match="No yield of"):
                plan_freezing(produce, form, 100, "pint")
    assert planned == 17


def test_wrong_pounds_and_containers_are_refused() -> None:
    with pytest.raises(ValueError, match="Container 'gallon'"):
        plan_freezing("pears", "slices", 1, "gallon")
    with pytest.raises(ValueError, match="Pounds -1 are below 0"):
        plan_freezing("pears", "slices", -1, "pint")


@pytest.mark.parametrize("container", ["pint", "quart"])
@pytest.mark.parametrize("count", [0, 1, 7, 14, 33, 400])
def test_pounds_to_freeze_are_the_least_that_fill_the_containers(container, count) -> None:
    needed = pounds_to_freeze("sweet_corn", "whole_kernel", {container: count})
    plan = plan_freezing("sweet_corn", "whole_kernel", needed.likely, container)
    assert plan.containers_likely == count
    safe = plan_freezing("sweet_corn", "whole_kernel", needed.safe, container)
    assert safe.containers_low == count
    if count:
        a_tenth = Fraction(1, 10)
        less = plan_freezing("sweet_corn", "whole_kernel", needed.likely - a_tenth, container)
        assert less.containers_likely == count - 1


def test_nothing_is_reckoned_back_for_the_freezer_without_a_yield_or_a_whole_count() -> None:
    with pytest.raises(NoPublishedYield):
        pounds_to_freeze("snap_beans", "green_or_wax_pieces", {"pint": 1})
    with pytest.raises(ValueError, match="bucket"):
        pounds_to_freeze("sweet_corn", "whole_kernel", {"bucket": 1})
    with pytest.raises(ValueError, match="below 0"):
        pounds_to_freeze("sweet_corn", "whole_kernel", {"pint": -1})
