"""Drying by published figures."""

import pytest

from coop.core import tables
from coop.core.preserving import DryBlanch, NoPublishedYield, drying_forms, plan_drying


def test_apricots_are_blanched_and_dried_a_day_or_more() -> None:
    # Michigan State University Extension, Preserving Food Safely, 1997: apricot halves, 3 to 4
    # minutes in steam or 4 to 5 in water, 140 F, 24 to 36 hours.
    plan = plan_drying("apricots", "halves", 11, 2)
    assert plan.trays == 6
    assert (plan.temperature_f, plan.hours_low, plan.hours_high) == (140, 24, 36)
    assert not plan.hours_are_general
    assert plan.blanches == (DryBlanch(3, 4, "steam"), DryBlanch(4, 5, "water"))
    assert plan.blanch == plan.blanches[0]


def test_where_no_hours_are_published_the_general_range_is_marked_as_such() -> None:
    # Preserving Food Safely, 1997, drying vegetables: 140 F, in general 6 to 16 hours.
    plan = plan_drying("onions", "slices_0.125_to_0.25_in", 3, 1)
    assert (plan.temperature_f, plan.hours_low, plan.hours_high) == (140, 6, 16)
    assert plan.hours_are_general
    assert plan.blanch is None
    assert plan.source == ("UMN_DRY", "MSUE97_DRYVEG")


def test_fruit_at_large_has_a_general_row() -> None:
    plan = plan_drying("fruit_any", "any", 3, 1)
    assert plan.hours_are_general
    assert plan.source == ("MSUE97_DRYFRUIT",)


def test_sulfite_is_warned_of_where_it_is_used() -> None:
    sulfite = tables.caution("allergens_1").gist
    assert sulfite in plan_drying("apples", "slices_or_rings_0.125_in", 1, 1).cautions
    assert sulfite not in plan_drying("okra", "slices_0.125_to_0.25_in", 1, 1).cautions
    assert "140 F" in " ".join(plan_drying("okra", "slices_0.125_to_0.25_in", 1, 1).cautions)


def test_every_row_is_planned() -> None:
    for row in tables.drying_rows():
        plan = plan_drying(row.produce, row.form, 10, 3)
        assert plan.trays == 4
        assert 0 < plan.hours_low <= plan.hours_high
        general = row.hours_low is None or row.produce.endswith("_any")
        assert plan.hours_are_general == general, row
        # Only rows that say so take the general hours of vegetables.
        assert row.hours_low is not None or "general vegetable range" in row.note


def test_what_is_not_in_the_table_is_refused() -> None:
    assert drying_forms("kohlrabi") == []
    with pytest.raises(NoPublishedYield, match="drying kohlrabi, slices"):
        plan_drying("kohlrabi", "slices", 1, 1)


def test_trays_and_pounds_must_be_weights() -> None:
    with pytest.raises(ValueError, match="0 pounds"):
        plan_drying("pears", "halves", 1, 0)
    with pytest.raises(ValueError, match="Pounds -1"):
        plan_drying("pears", "halves", 1, -1)
    with pytest.raises(ValueError, match="Pounds nan"):
        plan_drying("pears", "halves", float("nan"), 1)
    assert plan_drying("pears", "halves", 0, 1).trays == 0
