"""Processes as the publications print them, and what is said where there is none."""

from fractions import Fraction

import pytest

from coop.core.preserving import NoTestedProcess, find_process

CORN = ("sweet_corn", "whole_kernel", "hot")


def refusal(*key: object, **more: int) -> NoTestedProcess:
    with pytest.raises(NoTestedProcess) as refused:
        find_process(*key, **more)  # type: ignore[arg-type]
    return refused.value


@pytest.mark.parametrize(
    ("key", "altitude_ft", "minutes", "psi"),
    [
        # USDA Complete Guide to Home Canning, 2015, guide 4: corn, whole kernel.
        ((*CORN, "dial_gauge", "quart"), 0, 85, 11),
        ((*CORN, "dial_gauge", "pint"), 2000, 55, 11),
        ((*CORN, "dial_gauge", "pint"), 2001, 55, 12),
        ((*CORN, "dial_gauge", "quart"), 5200, 85, 13),
        ((*CORN, "dial_gauge", "quart"), 8000, 85, 14),
        ((*CORN, "weighted_gauge", "quart"), 1000, 85, 10),
        ((*CORN, "weighted_gauge", "quart"), 1001, 85, 15),
        # The same guide: beans, snap and Italian, pieces.
        (("snap_beans", "pieces", "raw", "dial_gauge", "quart"), 0, 25, 11),
        (("snap_beans", "pieces", "raw", "dial_gauge", "pint"), 0, 20, 11),
        # The same guide, guide 3: tomato juice in boiling water.
        (("tomato", "juice", "hot", "boiling_water", "pint"), 1000, 35, None),
        (("tomato", "juice", "hot", "boiling_water", "quart"), 1000, 40, None),
        (("tomato", "juice", "hot", "boiling_water", "quart"), 6001, 55, None),
        # The same guide, guide 2: peaches, halved or sliced, hot pack.
        (("peaches", "halved_or_sliced", "hot", "boiling_water", "quart"), 0, 25, None),
        # The same guide: apple juice in half-gallons, "very acid juices only".
        (("apples", "juice", "hot", "boiling_water", "half_gallon"), 0, 10, None),
    ],
)
def test_minutes_and_pressure_are_those_of_the_guide(
    key: tuple[str, str, str, str, str], altitude_ft: int, minutes: int, psi: int | None
) -> None:
    process = find_process(*key, altitude_ft)
    assert (process.minutes, process.psi) == (minutes, psi)
    assert "USDA15" in process.source


def test_the_options_of_tomato_juice_are_pairs_that_are_never_mixed() -> None:
    # USDA Complete Guide to Home Canning, 2015, guide 3: 20 minutes at 6 psi or 15 at 11 psi, dial
    # gauge; weighted gauge 20 at 5 and 15 at 10; the third, 10 at 15, only up to 1,000 ft.
    def pair(method: str, option: int) -> tuple[int, int | None]:
        process = find_process("tomato", "juice", "hot", method, "quart", 0, option)
        return process.minutes, process.psi

    assert [pair("dial_gauge", option) for option in (1, 2)] == [(20, 6), (15, 11)]
    assert [pair("weighted_gauge", option) for option in (1, 2, 3)] == [(20, 5), (15, 10), (10, 15)]
    above = refusal("tomato", "juice", "hot", "weighted_gauge", "quart", 1001, option=3)
    assert "ends at 1,000 ft" in above.sentence


def test_low_acid_food_has_no_process_in_boiling_water() -> None:
    # USDA Complete Guide, 2015, guide 1: low-acid foods are canned under pressure only.
    none = refusal(*CORN, "boiling_water", "quart", 500)
    assert str(none) == none.sentence
    assert none.sentence.startswith(
        "There is no tested process for sweet corn, whole kernel, hot pack in quarts in a "
        "boiling-water canner at 500 ft: "
    )
    assert "none is published in a boiling-water canner, only in a pressure canner" in none.sentence
    assert {each.psi for each in none.nearest} <= {10, 11, None}
    assert none.nearest[0].jar == "quart"
    assert "extension office" in none.where_to_ask


@pytest.mark.parametrize(
    ("key", "why"),
    [
        (
            (*CORN, "dial_gauge", "half_gallon", 0),
            "none is published in half-gallons, only in pint",
        ),
        (("sweet_corn", "cream_style", "raw", "dial_gauge", "pint", 0), "published as raw pack"),
        (
            ("sweet_corn", "cream_style", "hot", "dial_gauge", "quart", 0),
            "in quarts, only in pints",
        ),
        ((*CORN, "oven", "pint", 0), "none is published in an oven"),
        ((*CORN, "dial_gauge", "pint", 8001), "the published table for it ends at 8,000 ft"),
        ((*CORN, "dial_gauge", "pint", -1), "the published tables begin at 0 ft"),
        ((*CORN, "dial_gauge", "pint", 0, 2), "published as option 2, only as option 1"),
        (("sweet_corn", "creamed", "hot", "dial_gauge", "pint", 0), "no process for this product"),
        (("kohlrabi", "sliced", "hot", "dial_gauge", "pint", 0), "no process for this produce"),
    ],
)
def test_the_sentence_says_which_part_is_not_there(key: tuple[object, ...], why: str) -> None:
    assert why in refusal(*key).sentence


def test_the_nearest_are_the_same_product_first_and_hold_at_the_same_altitude() -> None:
    near = refusal("sweet_corn", "cream_style", "hot", "dial_gauge", "quart", 7000).nearest
    assert [(each.product, each.jar, each.method) for each in near[:3]] == [
        ("cream_style", "pint", "dial_gauge"),
        ("cream_style", "pint", "weighted_gauge"),
        ("whole_kernel", "quart", "dial_gauge"),
    ]
    assert len(near) == 6
    assert all(each.holds_at(7000) for each in near)


def test_nothing_is_near_a_produce_that_the_tables_do_not_have() -> None:
    assert refusal("kohlrabi", "sliced", "hot", "dial_gauge", "pint", 0).nearest == ()


def test_a_half_pint_without_a_row_is_refused_and_told_of_the_pint() -> None:
    # USDA Complete Guide to Home Canning, 2015, page 1-23: half-pints take the pint's time.
    none = refusal(*CORN, "dial_gauge", "half_pint", 0)
    assert "lets half-pints take the time of pints" in none.sentence
    assert none.nearest[0].jar == "pint"
    # Not where the pint has none either.
    assert "pints take" not in refusal(*CORN, "dial_gauge", "half_pint", 9000).sentence
    assert "pints take" not in refusal(*CORN, "boiling_water", "half_pint", 0).sentence


def test_where_two_headspaces_are_printed_none_is_told() -> None:
    limas = find_process("lima_beans", "shelled", "raw", "dial_gauge", "quart", 0)
    assert limas.headspace_in is None
    assert "1.5 in" in limas.note
    assert find_process(*CORN, "dial_gauge", "quart", 0).headspace_in == 1
    tomatoes = find_process("tomato", "juice", "hot", "boiling_water", "pint", 0)
    assert tomatoes.headspace_in == Fraction(1, 2)


@pytest.mark.parametrize("altitude_ft", [1000.5, float("nan"), float("inf")])
def test_an_altitude_between_two_whole_feet_is_in_no_band(altitude_ft: float) -> None:
    with pytest.raises(ValueError, match="whole feet"):
        find_process(*CORN, "weighted_gauge", "pint", altitude_ft)  # type: ignore[arg-type]
