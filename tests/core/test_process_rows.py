"""Every published process is found by its own key, at both ends of its band and nowhere else."""

from fractions import Fraction

import pytest

from coop.core.preserving import NoTestedProcess, Process, find_process, processes_at
from tests.core.published import process_key, published

ROWS = published("process_times")
#: An altitude in a band that has no upper end: higher than any kitchen.
VERY_HIGH_FT = 29032


def ends_of(row: dict[str, str]) -> tuple[int, int]:
    return int(row["altitude_low_ft"]), int(row["altitude_high_ft"] or VERY_HIGH_FT)


def found(row: dict[str, str], altitude_ft: int) -> Process:
    return find_process(*process_key(row), altitude_ft, option=int(row["option"]))


def figures_of(row: dict[str, str]) -> tuple[object, ...]:
    psi, headspace = row["pressure_psi"], row["headspace_in"]
    return (
        int(row["minutes"]),
        int(psi) if psi else None,
        Fraction(headspace) if headspace else None,
        row["acidify"] == "yes",
        tuple(row["source"].split(";")),
        row["note"],
    )


def told(process: Process) -> tuple[object, ...]:
    return (
        process.minutes,
        process.psi,
        process.headspace_in,
        process.acidify,
        process.source,
        process.note,
    )


def same_key(row: dict[str, str]) -> list[dict[str, str]]:
    return [
        other
        for other in ROWS
        if process_key(other) == process_key(row) and other["option"] == row["option"]
    ]


def test_there_are_as_many_rows_as_were_collected() -> None:
    assert len(ROWS) == 1529


def test_every_row_is_found_at_both_ends_of_its_band() -> None:
    for line, row in enumerate(ROWS, 2):
        for altitude_ft in ends_of(row):
            process = found(row, altitude_ft)
            assert told(process) == figures_of(row), f"line {line} at {altitude_ft} ft: {row}"
            assert process.holds_at(altitude_ft)


def test_one_foot_outside_its_band_a_row_is_not_found() -> None:
    outside = 0
    for line, row in enumerate(ROWS, 2):
        low, high = ends_of(row)
        for altitude_ft in {low - 1, high + 1} - {VERY_HIGH_FT + 1}:
            others = [
                other
                for other in same_key(row)
                if ends_of(other)[0] <= altitude_ft <= ends_of(other)[1]
            ]
            try:
                process = found(row, altitude_ft)
            except NoTestedProcess:
                assert not others, f"line {line} at {altitude_ft} ft"
                outside += 1
            else:
                (other,) = others
                assert process.altitude_low_ft == int(other["altitude_low_ft"])
                assert told(process) == figures_of(other), f"line {line} at {altitude_ft} ft"
    # Below sea level there is none of 492 keys, above 8,000 ft none of 143 of dial gauges, above
    # 1,000 ft none of the 16 third options (15 psi, "not recommended" there, USDA guide of 2015).
    assert outside == 492 + 143 + 16


def test_at_any_altitude_each_key_has_one_process_at_most() -> None:
    for altitude_ft in (0, 1000, 1001, 2000, 2001, 3000, 3001, 6000, 6001, 8000, 8001, 12000):
        at = processes_at(altitude_ft)
        keys = [
            (each.produce, each.product, each.pack, each.method, each.jar, each.option)
            for each in at
        ]
        assert len(keys) == len(set(keys))
        held = [row for row in ROWS if ends_of(row)[0] <= altitude_ft <= ends_of(row)[1]]
        assert [told(each) for each in at] == [figures_of(row) for row in held]


def test_processes_of_one_produce_are_only_its_own() -> None:
    found_for = processes_at(500, "figs")
    assert {each.produce for each in found_for} == {"figs"}
    assert len(found_for) == 2
    assert processes_at(500, "kohlrabi") == ()


@pytest.mark.parametrize("jar", ["half_pint", "pint", "quart", "half_gallon"])
def test_a_key_without_a_row_is_refused_and_its_neighbors_are_real_rows(jar: str) -> None:
    keys = {(process_key(row), row["option"]) for row in ROWS}
    asked = {(*process_key(row)[:4], jar) for row in ROWS} - {key for key, _ in keys}
    assert asked
    for key in asked:
        with pytest.raises(NoTestedProcess) as refused:
            find_process(*key, 900)
        near = refused.value.nearest
        assert 1 <= len(near) <= 6, key
        assert near[0].product == key[1]
        assert all(each in processes_at(900, key[0]) for each in near)
