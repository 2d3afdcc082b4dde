"""The tables hold what was published, untouched, and every figure says where it is from."""

import hashlib
from fractions import Fraction

import pytest

from coop.core import tables
from coop.core.tables import TABLES
from tests.core.published import FOLDER, published

#: SHA-256 of the tables as they were collected. A figure is corrected there first, and then here.
CHECKSUMS = {
    "acidification": "444dc1c0a1d0859f86d1ad6c88284c43ad9eeb6edf846f0b53c0d2d8ec7d7c92",
    "altitude_bands": "5004fcf487c13f5738074efb95d6cce7b7ba8a13472d3a040f824d4b49b7f1fc",
    "blanching": "7bc72caa9cd1c80117d01b8d83afc585135284816c45eb77be737c24752124f0",
    "canner_rules": "87151406e2f9c5698cc2890a76017dc7e23771f4f0744df934e22f53179f0ace",
    "canners": "b69e7180f002a618e5b22696b2db4a41bc2377662b5f433af1ba1f00cb1a84d4",
    "canning_yields": "7344e5f6f57a718b039cc09f683da876cc80ead25f5da9bc283b57837916e79b",
    "cautions": "3ef267da0dbec74a706f524b9aee90d0fd8d5ded69fe2f90155a7f2310b329fe",
    "containers": "51dfeac12c960d63a3fd036d3bb3075afc724bd44ea22955e24192c748d85f46",
    "drying": "6d077a82db2c789b5080f9d418d7f47c930f76035ad0a31687b08a4191193669",
    "freezing_yields": "898c76ddfb6bf88d787b385594d8949fdab2f84adfdfddc262cb83e732921973",
    "process_times": "542a30819c7c2291883ebfec4cc4c6b2038bc70bd285e67347121028ad8d6e76",
    "salt": "0a459a6b362a0644c815cd30d2d5a28c467c7834e4f4de05d73e9192611d4fb9",
    "storage_life": "6cd2505dcf330e8a0aba80bf803a044966a057523194d31cd22ae2043c7e530a",
    "syrups": "6451086346f28d61d30d02d6c3e0817e10c05abb1530ab784dab490f5b5f57b9",
    "units": "d9cdc02fd27c474eb679a8aa6decd263b99466f009e47a3dd2738be6e7f06b9e",
}


def test_the_checksums_are_those_of_all_tables_but_our_list_of_sources() -> None:
    assert len(CHECKSUMS) == 15
    assert {*CHECKSUMS, "sources"} == {path.stem for path in FOLDER.glob("*.csv")} == set(TABLES)


@pytest.mark.parametrize("name", CHECKSUMS)
def test_no_figure_was_edited(name: str) -> None:
    text = (FOLDER / f"{name}.csv").read_bytes()
    assert hashlib.sha256(text).hexdigest() == CHECKSUMS[name]


@pytest.mark.parametrize("name", [*CHECKSUMS, "sources"])
def test_a_table_is_shown_as_it_is_printed(name: str) -> None:
    table, rows = TABLES[name], published(name)
    assert rows
    assert [dict(row) for row in table.rows] == rows
    assert table.columns == tuple(rows[0])
    assert table.name == name


def test_each_table_has_its_own_title_and_one_sentence_about_it() -> None:
    assert len({table.title for table in TABLES.values()}) == len(TABLES) == 16
    for table in TABLES.values():
        assert table.about.endswith("."), table.name
        assert table.about.count(".") == 1, table.name


def test_an_unknown_table_is_not_there() -> None:
    assert "prices" not in TABLES
    with pytest.raises(KeyError):
        TABLES["prices"]


def test_the_rows_of_a_printed_table_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        TABLES["units"].rows[0]["litres"] = "36"  # type: ignore[index]


def test_a_table_is_read_once() -> None:
    assert tables.process_rows() is tables.process_rows()


def test_every_source_that_a_row_names_is_spelled_out_and_none_is_spelled_out_for_nothing() -> None:
    named = {
        key for name in CHECKSUMS for row in published(name) for key in row["source"].split(";")
    }
    assert len(named) == 83
    assert named == {row.key for row in tables.source_rows()}
    assert len(tables.source_rows()) == len(named)


def test_a_source_says_title_publisher_and_year() -> None:
    # The title page of the guide: Agriculture Information Bulletin No. 539, revised 2015.
    text = tables.spelled_out("USDA15")
    assert "Complete Guide to Home Canning" in text
    assert "539" in text
    assert text.endswith("2015")
    with pytest.raises(LookupError, match="NOBODY"):
        tables.spelled_out("NOBODY")


def test_figures_are_fractions_and_empty_cells_are_none() -> None:
    for row in tables.yield_rows():
        for value in (row.container_lb, row.lb_per_quart, row.yield_low):
            assert value is None or type(value) is Fraction, row
    corn = tables.yield_rows()[0]
    assert (corn.lb_per_7qt_load, corn.lb_per_pint) == (Fraction(63, 2), None)


def test_the_rows_of_every_table_are_as_many_as_the_file_has() -> None:
    rows = {
        "process_times": tables.process_rows(),
        "canning_yields": tables.yield_rows(),
        "freezing_yields": tables.freezing_rows(),
        "drying": tables.drying_rows(),
        "blanching": tables.blanching_rows(),
        "acidification": tables.acid_rows(),
        "salt": tables.salt_rows(),
        "syrups": tables.syrup_rows(),
        "canners": tables.canner_rows(),
        "altitude_bands": tables.band_rows(),
        "containers": tables.container_rows(),
        "storage_life": tables.storage_rows(),
        "sources": tables.source_rows(),
    }
    for name, typed in rows.items():
        assert len(typed) == len(published(name)), name


def test_a_canner_is_vented_for_ten_minutes_and_waited_for_another_ten() -> None:
    # USDA Complete Guide to Home Canning, 2015, guide 1: using pressure canners.
    assert tables.rule("pressure", "vent_minutes") == 10
    assert tables.rule("pressure", "wait_after_zero_before_opening") == 10
    with pytest.raises(LookupError, match="oven"):
        tables.rule("oven", "vent_minutes")


def test_a_bushel_and_a_pound_are_what_the_law_says() -> None:
    # NIST Handbook 44, Appendix C: a US bushel is 2150.42 cubic inches, a gallon 231.
    assert tables.unit("bushel").cubic_inches == Fraction("2150.42")
    assert tables.unit("gallon_liquid").cubic_inches == 231
    # The international pound of 1959: exactly 0.45359237 kg.
    assert tables.unit("pound").kilograms == Fraction(45359237, 10**8)
    with pytest.raises(LookupError, match="firkin"):
        tables.unit("firkin")


def test_cautions_are_found_by_topic_and_by_id() -> None:
    assert len(tables.cautions("low_acid")) == 8
    assert tables.cautions("low_acid")[0] == tables.caution("low_acid_1")
    assert tables.cautions("weather") == ()
    with pytest.raises(LookupError, match="weather_1"):
        tables.caution("weather_1")
