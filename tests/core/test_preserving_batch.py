"""Batches: jars, loads and time on the stove, by figures that were published."""

from decimal import Decimal
from fractions import Fraction

import pytest

from coop.core.preserving import (
    BatchPlan,
    LoadFill,
    NoPublishedYield,
    NoTestedProcess,
    jars_of,
    plan_batch,
    plan_jars,
    processes_at,
)


def corn(pounds: object, jars_per_load: int = 7, altitude_ft: int = 0) -> BatchPlan:
    return plan_batch(
        "sweet_corn",
        "whole_kernel",
        pounds,  # type: ignore[arg-type]
        "hot",
        "dial_gauge",
        "quart",
        jars_per_load,
        altitude_ft,
    )


def cautions_of(*key: object) -> str:
    return " ".join(plan_jars(*key).cautions)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("food", "pounds", "jar", "jars"),
    [
        # USDA Complete Guide to Home Canning, revised 2015, "Quantity" of each food: pounds for a
        # canner load of 7 quarts, then of 9 pints.
        (("sweet_corn", "whole_kernel"), Fraction(63, 2), "quart", 7),
        (("sweet_corn", "whole_kernel"), 20, "pint", 9),
        (("sweet_corn", "cream_style"), 20, "pint", 9),
        (("snap_beans", "pieces"), 14, "quart", 7),
        (("snap_beans", "pieces"), 9, "pint", 9),
        (("tomato", "crushed"), 22, "quart", 7),
        (("tomato", "juice"), 14, "pint", 9),
        (("tomato", "sauce_thick"), 46, "quart", 7),
        (("peaches", "halved_or_sliced"), Fraction(35, 2), "quart", 7),
        (("apples", "sliced"), Fraction("12.25"), "pint", 9),
        (("peppers", "whole_or_quartered"), 9, "pint", 9),
        # Mushrooms: 14.5 pounds for 9 pints, 7.5 for 9 half-pints; only the pints are a column.
        (("mushrooms", "whole_or_sliced"), Fraction(29, 2), "pint", 9),
        (("mushrooms", "whole_or_sliced"), Fraction(29, 4), "half_pint", 9),
        # Bread-and-butter pickles: 6 pounds of cucumbers make about 8 pints.
        (("cucumbers", "bread_and_butter_pickles"), 6, "pint", 8),
    ],
)
def test_a_published_load_makes_its_jars(
    food: tuple[str, str], pounds: int | Fraction, jar: str, jars: int
) -> None:
    assert jars_of(*food, pounds, jar).likely == jars
    assert jars_of(*food, pounds - Fraction(1, 100), jar).likely == jars - 1


def test_a_bushel_of_corn_makes_six_to_eleven_quarts() -> None:
    # USDA Complete Guide, 2015, guide 4: a bushel (in husk) weighs 35 pounds and yields 6 to 11
    # quarts, an average of 3 to 6 pounds per quart. The load says 35 / 4.5 = 7.
    bushel = jars_of("sweet_corn", "whole_kernel", 35, "quart")
    assert (bushel.low, bushel.likely, bushel.high) == (6, 7, 11)
    assert bushel.source == ("USDA15", "USDA94", "MSUE97")


def test_pints_are_counted_by_every_figure_turned_into_pints() -> None:
    # By hand, snap beans per pint: 14/7/2 = 1, 9/9 = 1, 2/2 = 1, 30/12/2 = 1.25, 30/20/2 = 0.75.
    beans = jars_of("snap_beans", "pieces", 30, "pint")
    assert (beans.low, beans.likely, beans.high) == (24, 30, 40)


def test_where_a_load_of_the_size_is_not_printed_the_jar_then_the_other_size_counts() -> None:
    # Mixed juice: only 22 pounds for 7 quarts is printed, so 9 pints take 22 * 9 / 14 = 14.14.
    assert jars_of("tomato", "vegetable_juice_blend", Fraction("14.15"), "pint").likely == 9
    # Half-gallons of grape juice, by the load of 7 quarts: 24.5 / 7 * 2 = 7 pounds each.
    assert jars_of("grapes", "juice", 7, "half_gallon").likely == 1


def test_a_plan_tells_jars_loads_the_process_and_the_time_on_the_stove() -> None:
    plan = corn(63, altitude_ft=5200)
    assert (plan.jars_low, plan.jars_likely, plan.jars_high) == (10, 14, 19)
    assert (plan.loads, plan.last_load, plan.jars_per_load, plan.fill) == (2, 7, 7, None)
    assert (plan.process.minutes, plan.process.psi) == (85, 13)
    assert plan.pounds == 63
    assert plan.recipe_batches is None
    # USDA Complete Guide, 2015: 12 to 15 minutes until steam flows, 10 of venting, 3 to 5 to come
    # to pressure, 20 to 60 of cooling, 10 of waiting: 55 to 100 beside the process.
    assert (plan.stove_minutes_low, plan.stove_minutes_high) == (2 * 140, 2 * 185)


def test_boiling_water_is_heated_processed_and_rested() -> None:
    # USDA Complete Guide, 2015: 20 to 30 minutes to a boil, 5 of waiting with the heat off.
    plan = plan_batch("peaches", "halved_or_sliced", 35, "hot", "boiling_water", "quart", 7, 0)
    assert (plan.loads, plan.process.minutes) == (2, 25)
    assert (plan.stove_minutes_low, plan.stove_minutes_high) == (2 * 50, 2 * 60)


def test_a_last_load_that_is_not_full_says_what_fills_and_what_saves_it() -> None:
    # 40 pounds are 8 quarts by 4.5 each. 14 quarts take 63 pounds, 7 take 31.5.
    plan = corn(40)
    assert (plan.jars_likely, plan.loads, plan.last_load) == (8, 2, 1)
    assert plan.fill == LoadFill(6, Fraction(23), 1, Fraction("8.5"))


def test_no_pounds_are_no_jars_and_no_loads() -> None:
    plan = corn(0)
    assert (plan.jars_high, plan.loads, plan.last_load, plan.fill) == (0, 0, 0, None)
    assert (plan.stove_minutes_low, plan.stove_minutes_high) == (0, 0)


def test_a_tested_recipe_goes_by_its_batches() -> None:
    # USDA Complete Guide, 2015, guide 6: quick fresh-pack dill pickles, 8 pounds of cucumbers make
    # 7 to 9 pints. So 20 pounds are two and a half batches, 17 to 22 pints.
    plan = plan_batch(
        "cucumbers", "dill_pickles_quick_fresh_pack", 20, "raw", "boiling_water", "pint", 9, 0
    )
    assert plan.recipe_batches == Fraction(5, 2)
    assert (plan.jars_low, plan.jars_likely, plan.jars_high) == (17, 20, 22)


def test_a_recipe_without_pounds_and_a_process_without_a_yield_are_planned_by_the_jar() -> None:
    with pytest.raises(NoPublishedYield, match="sweet corn, pickled corn relish: plan it by the"):
        plan_batch("sweet_corn", "pickled_corn_relish", 9, "hot", "boiling_water", "pint", 9, 0)
    with pytest.raises(NoPublishedYield) as refused:
        plan_batch("apples", "pie_filling", 9, "hot", "boiling_water", "quart", 7, 0)
    assert str(refused.value) == refused.value.sentence
    plan = plan_jars("apples", "pie_filling", 9, "hot", "boiling_water", "quart", 7, 0)
    assert (plan.jars_low, plan.jars_likely, plan.jars_high) == (9, 9, 9)
    assert (plan.loads, plan.last_load, plan.pounds) == (2, 2, 0)
    assert plan.fill == LoadFill(5, None, 2, None)
    assert plan.yield_source == ()


def test_a_pound_counts_the_same_however_it_is_written() -> None:
    written = [63, 63.0, Decimal("63.0"), Fraction(63)]
    assert len({corn(pounds).pounds for pounds in written}) == 1
    assert corn(0.1).pounds == Fraction(1, 10)


@pytest.mark.parametrize(
    "pounds", [-1, -0.1, float("nan"), float("inf"), Decimal("NaN"), Decimal("Infinity")]
)
def test_pounds_that_are_no_weight_are_refused(pounds: object) -> None:
    with pytest.raises(ValueError, match="Pounds"):
        corn(pounds)


@pytest.mark.parametrize("jars", [0, -7, 7.5, True])
def test_a_load_holds_at_least_one_whole_jar(jars: int) -> None:
    with pytest.raises(ValueError, match="Jars to a load"):
        corn(63, jars)
    with pytest.raises(ValueError, match="Jars to a load"):
        plan_jars("sweet_corn", "whole_kernel", 7, "hot", "dial_gauge", "quart", jars, 0)


@pytest.mark.parametrize("jars", [-1, 2.5])
def test_typed_jars_are_whole_and_not_below_none(jars: int) -> None:
    with pytest.raises(ValueError, match="Jars"):
        plan_jars("sweet_corn", "whole_kernel", jars, "hot", "dial_gauge", "quart", 7, 0)


def test_no_batch_is_planned_without_a_tested_process() -> None:
    with pytest.raises(NoTestedProcess):
        plan_batch("sweet_corn", "whole_kernel", 63, "hot", "boiling_water", "quart", 7, 0)
    with pytest.raises(NoTestedProcess):
        plan_jars("sweet_corn", "cream_style", 9, "hot", "dial_gauge", "quart", 7, 0)


def test_a_pressure_canner_is_vented_and_its_dial_tested() -> None:
    text = " ".join(corn(63, altitude_ft=5200).cautions)
    for part in ("pressure canner only", "10 minutes before closing", "dial gauge tested"):
        assert part in text
    assert "Find the altitude" in text
    assert "boiling water over the jars" not in text
    assert "Find the altitude" not in " ".join(corn(63).cautions)


def test_cautions_are_those_of_the_food_the_canner_and_the_jars() -> None:
    tomatoes = cautions_of("tomato", "juice", 7, "hot", "boiling_water", "quart", 7, 0)
    assert "every jar of tomatoes" in tomatoes
    assert "bottled juice and vinegar of at least 5 percent" in tomatoes
    assert "pressure canner only" not in tomatoes
    pears = cautions_of("asian_pears", "halved_or_sliced", 7, "hot", "boiling_water", "quart", 7, 0)
    assert "Asian pears need" in pears
    relish = cautions_of("cucumbers", "pickle_relish", 9, "hot", "boiling_water", "pint", 9, 0)
    assert "Never change the share of vinegar" in relish
    juice = cautions_of("apples", "juice", 7, "hot", "boiling_water", "quart", 7, 0)
    assert "boiled sterile first" in juice
    kraut = cautions_of("cabbage", "sauerkraut", 9, "hot", "boiling_water", "quart", 7, 0)
    assert "Cutting back the salt" in kraut
    rings = cautions_of(
        "peppers", "pickled_jalapeno_rings", 6, "hot", "boiling_water", "pint", 9, 0
    )
    assert "Lime used to firm" in rings


def test_two_layers_of_pints_need_a_rack_between() -> None:
    key = ("snap_beans", "pieces", 18, "raw", "weighted_gauge", "pint")
    assert "rack between two layers" in cautions_of(*key, 18, 1500)
    assert "rack between two layers" not in cautions_of(*key, 9, 1500)
    assert "A weighted gauge cannot be set finely" in cautions_of(*key, 9, 1500)


def test_options_are_not_mixed() -> None:
    mixed = "never combine the minutes of one option"
    key = ("tomato", "juice", 7, "hot")
    assert mixed in cautions_of(*key, "dial_gauge", "quart", 7, 0, 2)
    assert mixed in cautions_of(*key, "dial_gauge", "quart", 7, 0)
    assert mixed not in cautions_of(*key, "boiling_water", "quart", 7, 0)


def test_jars_are_boiled_sterile_only_for_less_than_ten_minutes() -> None:
    # USDA Complete Guide, 2015, guide 1: sterilize jars for what is processed less than 10 minutes.
    half_gallons = cautions_of("apples", "juice", 3, "hot", "boiling_water", "half_gallon", 3, 0)
    assert "boiled sterile first" not in half_gallons
    assert "half-gallon jars only for very acid juices" in half_gallons


def test_food_without_any_process_in_boiling_water_is_called_low_in_acid() -> None:
    for food in ("whole_kernel", "cream_style"):
        for jars in processes_at(0, "sweet_corn"):
            if jars.product == food:
                plan = plan_jars(
                    *("sweet_corn", food, 7, jars.pack, jars.method, jars.jar, 7, 0, jars.option)
                )
                assert "pressure canner only" in plan.cautions[0]
