"""A table with a row that cannot be right is refused, with its line and what is wrong."""

import pytest

from coop.core.tables import WrongTable
from coop.core.tables.kinds import KINDS
from coop.core.tables.reading import read_table

KIND = {kind.name: kind for kind in KINDS}

PROCESS = {
    "produce": "sweet_corn",
    "product": "whole_kernel",
    "pack": "hot",
    "method": "dial_gauge",
    "jar": "pint",
    "altitude_low_ft": "0",
    "altitude_high_ft": "2000",
    "minutes": "55",
    "pressure_psi": "11",
    "headspace_in": "1",
    "option": "1",
    "acidify": "",
    "source": "USDA15",
    "note": "",
}
YIELD = {
    "produce": "sweet_corn",
    "product": "whole_kernel",
    "container": "bushel",
    "container_lb": "35",
    "lb_per_7qt_load": "31.5",
    "lb_per_9pt_load": "20",
    "lb_per_quart": "4.5",
    "lb_per_pint": "",
    "yield_low": "6",
    "yield_high": "11",
    "yield_unit": "quarts",
    "source": "USDA15",
    "note": "",
}


def text_of(*rows: dict[str, str]) -> str:
    return "\n".join([",".join(rows[0]), *(",".join(row.values()) for row in rows)])


def read(name: str, *rows: dict[str, str]) -> None:
    read_table(KIND[name], text_of(*rows), {"USDA15"})


def test_the_rows_that_are_spoiled_below_are_right_as_they_stand() -> None:
    read("process_times", PROCESS)
    read("canning_yields", YIELD)


@pytest.mark.parametrize(
    ("column", "cell", "what"),
    [
        ("source", "", "source: no source is named"),
        ("source", "AUNT_MAY", "source 'AUNT_MAY' is not spelled out"),
        ("source", "USDA15;AUNT_MAY", "source 'AUNT_MAY' is not spelled out"),
        ("produce", "", "produce is empty"),
        ("product", "", "product is empty"),
        ("minutes", "", "minutes: '' is not a whole number"),
        ("minutes", "0", "minutes are 0"),
        ("minutes", "-5", "minutes: '-5' is not a whole number"),
        ("minutes", "55.5", "minutes: '55.5' is not a whole number"),
        ("minutes", "about 55", "minutes: 'about 55' is not a whole number"),
        ("headspace_in", "1/2", "headspace_in: '1/2' is not a number"),
        ("headspace_in", "nan", "headspace_in: 'nan' is not a number"),
        ("headspace_in", "1e3", "headspace_in: '1e3' is not a number"),
        ("altitude_high_ft", "high", "altitude_high_ft: 'high' is not a whole number"),
        ("method", "oven", "method 'oven' is not known"),
        ("pack", "cold", "pack 'cold' is not known"),
        ("jar", "gallon", "jar 'gallon' is not known"),
        ("option", "4", "option 4 is not known"),
        ("acidify", "no", "acidify: 'no' is neither yes nor empty"),
        ("pressure_psi", "", "dial_gauge without a pressure"),
        ("pressure_psi", "0", "dial_gauge without a pressure"),
    ],
)
def test_a_wrong_cell_of_a_process_is_refused(column: str, cell: str, what: str) -> None:
    with pytest.raises(WrongTable) as refused:
        read("process_times", PROCESS, {**PROCESS, "jar": "quart", column: cell})
    assert str(refused.value) == f"Table process_times, line 3: {what}."
    assert (refused.value.table, refused.value.line) == ("process_times", 3)


def test_boiling_water_has_no_pressure() -> None:
    with pytest.raises(WrongTable, match="line 2: a pressure in boiling_water"):
        read("process_times", {**PROCESS, "method": "boiling_water"})


def test_a_low_figure_is_not_above_its_high_one() -> None:
    with pytest.raises(WrongTable, match="line 2: yield_low 12 is above 11"):
        read("canning_yields", {**YIELD, "yield_low": "12"})
    with pytest.raises(WrongTable, match="line 2: altitude_low_ft 2001 is above 2000"):
        read("process_times", {**PROCESS, "altitude_low_ft": "2001"})


@pytest.mark.parametrize(("low", "high"), [("0", "2000"), ("2000", "4000"), ("1500", "")])
def test_bands_of_one_key_neither_repeat_nor_overlap(low: str, high: str) -> None:
    again = {**PROCESS, "altitude_low_ft": low, "altitude_high_ft": high}
    with pytest.raises(WrongTable, match=r"line 3: two bands of sweet_corn, whole_kernel, .* over"):
        read("process_times", PROCESS, again)


def test_nothing_comes_after_a_band_that_is_open_above() -> None:
    first = {**PROCESS, "altitude_high_ft": ""}
    with pytest.raises(WrongTable, match=r"line 3: two bands of .* overlap"):
        read("process_times", first, {**PROCESS, "altitude_low_ft": "2001", "altitude_high_ft": ""})


def test_bands_begin_at_sea_level() -> None:
    with pytest.raises(WrongTable, match=r"line 2: the bands of .* do not begin at 0"):
        read("process_times", {**PROCESS, "altitude_low_ft": "1"})


def test_bands_of_two_options_stand_side_by_side_and_a_gap_is_no_mistake() -> None:
    read("process_times", PROCESS, {**PROCESS, "option": "2"})
    read(
        "process_times", PROCESS, {**PROCESS, "altitude_low_ft": "4001", "altitude_high_ft": "6000"}
    )


def test_a_row_has_as_many_cells_as_there_are_columns() -> None:
    text = text_of(YIELD) + ",one more"
    with pytest.raises(WrongTable, match="line 2: 14 cells for 13 columns"):
        read_table(KIND["canning_yields"], text, {"USDA15"})


@pytest.mark.parametrize("text", ["", "produce,minutes\ncorn,5"])
def test_a_table_with_other_columns_is_refused(text: str) -> None:
    with pytest.raises(WrongTable, match="line 1: the columns are not produce, product"):
        read_table(KIND["canning_yields"], text, {"USDA15"})
