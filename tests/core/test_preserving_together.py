"""Loads that households share."""

import pytest

from coop.core.preserving import (
    LoadKey,
    LoadPart,
    SharedLoads,
    find_process,
    load_key,
    share_loads,
)

QUARTS = LoadKey("dial_gauge", 25, 11, "quart")


def test_two_half_empty_loads_become_one() -> None:
    parts = [LoadPart("Adeyemi", QUARTS, 9, 7), LoadPart("Brandt", QUARTS, 5, 7)]
    assert share_loads(parts) == (SharedLoads(QUARTS, (("Adeyemi", 9), ("Brandt", 5)), 3, 2, 7),)


@pytest.mark.parametrize(
    "other",
    [
        LoadKey("weighted_gauge", 25, 11, "quart"),
        LoadKey("dial_gauge", 20, 11, "quart"),
        LoadKey("dial_gauge", 25, 12, "quart"),
        LoadKey("dial_gauge", 25, None, "quart"),
        LoadKey("dial_gauge", 25, 11, "pint"),
    ],
)
def test_another_canner_time_pressure_or_jar_never_shares(other: LoadKey) -> None:
    assert share_loads([LoadPart("A", QUARTS, 1, 7), LoadPart("B", other, 1, 7)]) == ()


def test_canners_of_two_sizes_are_kept_apart() -> None:
    assert share_loads([LoadPart("A", QUARTS, 1, 7), LoadPart("B", QUARTS, 1, 4)]) == ()


def test_where_nothing_is_saved_nothing_is_shared() -> None:
    assert share_loads([LoadPart("A", QUARTS, 5, 7), LoadPart("B", QUARTS, 5, 7)]) == ()
    assert share_loads([LoadPart("A", QUARTS, 7, 7), LoadPart("B", QUARTS, 5, 7)]) == ()
    assert share_loads([LoadPart("A", QUARTS, 5, 7)]) == ()
    assert share_loads([]) == ()


def test_who_fills_its_loads_is_left_out() -> None:
    parts = [
        LoadPart("Full", QUARTS, 14, 7),
        LoadPart("A", QUARTS, 3, 7),
        LoadPart("None", QUARTS, 0, 7),
        LoadPart("B", QUARTS, 4, 7),
    ]
    (shared,) = share_loads(parts)
    assert shared.jars == (("A", 3), ("B", 4))
    assert (shared.loads_apart, shared.loads_together) == (2, 1)


def test_corn_and_limas_do_not_share_but_two_foods_of_the_same_time_do() -> None:
    # USDA Complete Guide to Home Canning, 2015, guide 4: raw snap beans and hot ones, quarts, both
    # 25 minutes at 11 psi; corn takes 85.
    raw, hot, corn = (
        load_key(find_process(*food, "dial_gauge", "quart", 0))
        for food in (
            ("snap_beans", "pieces", "raw"),
            ("snap_beans", "pieces", "hot"),
            ("sweet_corn", "whole_kernel", "hot"),
        )
    )
    assert raw == hot == QUARTS
    (shared,) = share_loads(
        [LoadPart("A", raw, 3, 7), LoadPart("B", hot, 4, 7), LoadPart("C", corn, 3, 7)]
    )
    assert shared.jars == (("A", 3), ("B", 4))


def test_jars_and_canners_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="Jars of Brandt -1 is below 0"):
        LoadPart("Brandt", QUARTS, -1, 7)
    with pytest.raises(ValueError, match="Capacity for Brandt 0 is below 1"):
        LoadPart("Brandt", QUARTS, 1, 0)
