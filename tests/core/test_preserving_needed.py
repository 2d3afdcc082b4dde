"""How many pounds make the jars that are wanted."""

from fractions import Fraction

import pytest

from coop.core.preserving import NoPublishedYield, PoundsNeeded, jars_of, pounds_for


def test_a_load_of_quarts_and_one_of_pints_take_their_published_pounds() -> None:
    # USDA Complete Guide to Home Canning, 2015: corn in husk, 31.5 pounds for 7 quarts and 20 for 9
    # pints. To be safe by its 6 quarts of a bushel: 35 / 6 a quart, so 40.83 and 26.25.
    needed = pounds_for("sweet_corn", "whole_kernel", {"quart": 7, "pint": 9})
    assert needed.likely == Fraction("51.5")
    assert needed.safe == Fraction("40.9") + Fraction("26.3")
    assert needed.source == ("USDA15", "USDA94", "MSUE97")


def test_pounds_are_rounded_up_to_a_tenth_so_that_no_jar_stays_short() -> None:
    # 7 quarts of whole tomatoes take 21 pounds; 9 pints take 13, so one takes 1.444.
    assert pounds_for("tomato", "whole_or_halved_in_water", {"pint": 1}).likely == Fraction(3, 2)
    assert jars_of("tomato", "whole_or_halved_in_water", Fraction(3, 2), "pint").likely == 1
    assert jars_of("tomato", "whole_or_halved_in_water", Fraction(14, 10), "pint").likely == 0


def test_nothing_wanted_takes_no_pounds() -> None:
    needed = pounds_for("snap_beans", "pieces", {"quart": 0})
    assert (needed.likely, needed.safe) == (0, 0)
    assert isinstance(needed, PoundsNeeded)
    assert pounds_for("snap_beans", "pieces", {}).likely == 0


@pytest.mark.parametrize("count", [-1, 1.5])
def test_jars_that_cannot_be_wanted_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=r"Jars \(quart\)"):
        pounds_for("snap_beans", "pieces", {"quart": count})


def test_an_unknown_jar_and_a_food_without_a_yield_are_refused() -> None:
    with pytest.raises(ValueError, match="Jar 'gallon' is none of half_pint"):
        pounds_for("snap_beans", "pieces", {"gallon": 1})
    with pytest.raises(NoPublishedYield, match="apples, pie filling"):
        pounds_for("apples", "pie_filling", {"quart": 7})
    with pytest.raises(NoPublishedYield, match="any fruit, puree"):
        pounds_for("fruit_any", "puree", {})
