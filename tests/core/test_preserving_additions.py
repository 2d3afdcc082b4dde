"""Acid, salt and syrup: what goes into the jars beside the food."""

from dataclasses import replace
from fractions import Fraction

import pytest

from coop.core.preserving import (
    Amount,
    NoAcid,
    NoSyrup,
    Process,
    Syrup,
    acid_needed,
    acids_for,
    find_process,
    needs_recipe_acid,
    processes_at,
    salt_needed,
    syrup_needed,
    syrups_for,
)
from tests.core.published import process_key, published


def tomato_juice(jar: str = "quart") -> Process:
    return find_process("tomato", "juice", "hot", "boiling_water", jar, 0)


def peaches(jar: str = "quart") -> Process:
    return find_process("peaches", "halved_or_sliced", "hot", "boiling_water", jar, 0)


def test_tomatoes_take_lemon_juice_or_citric_acid_by_the_jar() -> None:
    # USDA Complete Guide to Home Canning, 2015, guide 3: 2 tablespoons of bottled lemon juice or
    # 1/2 teaspoon of citric acid per quart; half of it per pint; or 4 tablespoons of 5 percent
    # vinegar per quart, for which no pint is printed.
    quarts = {each.acid: (each.amount, each.unit) for each in acids_for(tomato_juice())}
    assert quarts == {
        "bottled_lemon_juice": (2, "tablespoon"),
        "citric_acid": (Fraction(1, 2), "teaspoon"),
        "vinegar_5_percent": (4, "tablespoon"),
    }
    pints = {each.acid: (each.amount, each.unit) for each in acids_for(tomato_juice("pint"))}
    assert pints == {
        "bottled_lemon_juice": (1, "tablespoon"),
        "citric_acid": (Fraction(1, 4), "teaspoon"),
    }


def test_the_acid_of_a_load_is_that_of_its_jars() -> None:
    assert acid_needed(tomato_juice(), "citric_acid", 7) == Amount(
        Fraction(7, 2), "teaspoon", ("USDA15", "USDA94")
    )
    assert acid_needed(tomato_juice("pint"), "bottled_lemon_juice", 9).amount == 9
    assert acid_needed(tomato_juice(), "vinegar_5_percent", 0).amount == 0


@pytest.mark.parametrize(
    ("jar", "acid", "sentence"),
    [
        ("pint", "vinegar_5_percent", "No amount of vinegar of 5 percent acid is printed for pint"),
        ("quart", "fresh_lemon_juice", "No amount of fresh lemon juice is printed for quarts"),
        ("quart", None, "Tomatoes, juice must have acid in every jar: choose one."),
        ("quart", "", "choose one"),
    ],
)
def test_an_acid_without_a_printed_amount_is_refused(
    jar: str, acid: str | None, sentence: str
) -> None:
    with pytest.raises(NoAcid) as refused:
        acid_needed(tomato_juice(jar), acid, 7)
    assert sentence in refused.value.sentence
    assert str(refused.value) == refused.value.sentence


@pytest.mark.parametrize("jar", ["half_pint", "half_gallon"])
def test_a_jar_size_without_a_printed_amount_is_refused_and_not_left_without(jar: str) -> None:
    odd = replace(tomato_juice(), jar=jar)
    with pytest.raises(NoAcid, match="no amount is printed for half-"):
        acids_for(odd)
    with pytest.raises(NoAcid, match="no amount is printed for half-"):
        acid_needed(odd, "citric_acid", 1)


def test_acid_asked_for_without_any_known_amount_is_refused() -> None:
    odd = replace(find_process("figs", "whole", "hot", "boiling_water", "pint", 0), product="dried")
    for asked in (acids_for, needs_recipe_acid):
        with pytest.raises(NoAcid, match="Figs, dried must have acid, and no amount"):
            asked(odd)


def test_no_process_that_asks_for_acid_comes_out_without() -> None:
    acidified = 0
    for row in published("process_times"):
        process = find_process(
            *process_key(row), int(row["altitude_low_ft"]), option=int(row["option"])
        )
        acids, of_recipe = acids_for(process), needs_recipe_acid(process)
        if row["acidify"] == "yes":
            acidified += 1
            assert bool(acids) != of_recipe, row
            assert all(each.amount > 0 for each in acids)
        else:
            assert not acids
            assert not of_recipe, row
    assert acidified == 473


def test_plain_tomatoes_have_jar_acid_whatever_the_canner() -> None:
    # USDA Complete Guide, 2015, guide 3: whole, crushed and juiced tomatoes, in either canner.
    plain = ("juice", "crushed", "sauce", "whole_or_halved", "vegetable_juice")
    for process in processes_at(500, "tomato"):
        if process.product.startswith(plain):
            assert acids_for(process), process
            assert "bottled_lemon_juice" in {each.acid for each in acids_for(process)}


def test_a_tested_recipe_keeps_its_own_acid() -> None:
    salsa = find_process("tomato", "salsa_chile", "hot", "boiling_water", "pint", 0)
    assert needs_recipe_acid(salsa)
    assert acids_for(salsa) == ()
    with pytest.raises(NoAcid, match="chile salsa, first recipe is the tested recipe's own"):
        acid_needed(salsa, "bottled_lemon_juice", 9)


def test_food_that_takes_no_acid_is_not_given_any() -> None:
    assert acids_for(peaches()) == ()
    with pytest.raises(NoAcid, match="Peaches, halved or sliced is processed without added acid"):
        acid_needed(peaches(), "citric_acid", 7)


def test_salt_for_taste_is_a_teaspoon_a_quart() -> None:
    # USDA Complete Guide, 2015, guide 4: 1 teaspoon of salt per quart, if wished.
    beans = find_process("snap_beans", "pieces", "raw", "dial_gauge", "quart", 0)
    assert salt_needed(beans, 7) == Amount(Fraction(7), "teaspoon", ("USDA15",))
    pints = find_process("snap_beans", "pieces", "raw", "dial_gauge", "pint", 0)
    assert salt_needed(pints, 9) == Amount(Fraction(9, 2), "teaspoon", ("USDA15",))
    creamed = find_process("sweet_corn", "cream_style", "hot", "dial_gauge", "pint", 0)
    assert salt_needed(creamed, 9) == Amount(Fraction(9, 2), "teaspoon", ("USDA15",))
    halves = find_process("peppers", "whole_or_quartered", "hot", "dial_gauge", "half_pint", 0)
    assert salt_needed(halves, 8) == Amount(Fraction(2), "teaspoon", ("USDA15",))


def test_salt_of_a_crock_or_a_recipe_is_no_seasoning() -> None:
    kraut = find_process("cabbage", "sauerkraut", "hot", "boiling_water", "quart", 0)
    assert salt_needed(kraut, 9) is None
    assert salt_needed(peaches(), 7) is None


def test_syrup_goes_by_the_load() -> None:
    # USDA Complete Guide, 2015, guide 2, syrups: medium, 8 1/4 cups of water and 3 3/4 of sugar for
    # 7 quarts, 5 1/4 and 2 1/4 for 9 pints.
    assert syrup_needed(peaches(), "medium", 7) == Syrup(
        Fraction(33, 4), Fraction(15, 4), ("USDA15",)
    )
    assert syrup_needed(peaches("pint"), "medium", 9) == Syrup(
        Fraction(21, 4), Fraction(9, 4), ("USDA15",)
    )
    two_loads = syrup_needed(peaches(), "very_light", 14)
    assert (two_loads.water_cups, two_loads.sugar_cups) == (21, Fraction(5, 2))
    assert syrup_needed(peaches(), "heavy", 1).water_cups == Fraction(31, 28)
    assert syrup_needed(peaches(), "heavy", 0).sugar_cups == 0


def test_only_fruit_that_is_packed_in_syrup_has_a_choice_of_it() -> None:
    assert syrups_for(peaches()) == ("very_light", "light", "medium", "heavy", "very_heavy")
    assert syrups_for(tomato_juice()) == ()
    applesauce = find_process("apples", "applesauce", "hot", "boiling_water", "quart", 0)
    assert syrups_for(applesauce) == ()
    with pytest.raises(NoSyrup, match="No medium syrup is published for apples, applesauce"):
        syrup_needed(applesauce, "medium", 7)
    with pytest.raises(NoSyrup, match="maple syrup"):
        syrup_needed(peaches(), "maple", 7)


def test_what_is_packed_in_syrup_has_a_process() -> None:
    with_syrup = {each.produce for each in processes_at(0) if syrups_for(each)}
    assert with_syrup == {
        *("apples", "apricots", "berries", "cherries", "grapes", "nectarines", "peaches"),
        *("pears", "plums"),
    }


@pytest.mark.parametrize("jars", [-1, 1.5])
def test_jars_that_cannot_be_are_refused(jars: int) -> None:
    with pytest.raises(ValueError, match="Jars"):
        acid_needed(tomato_juice(), "citric_acid", jars)
    with pytest.raises(ValueError, match="Jars"):
        salt_needed(tomato_juice(), jars)
    with pytest.raises(ValueError, match="Jars"):
        syrup_needed(peaches(), "medium", jars)
