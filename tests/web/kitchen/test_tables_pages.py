"""The pages of the published tables: every row, its sources, and the search."""

import csv
from importlib.resources import files

import pytest

from coop.core.tables import TABLES
from coop.kitchen.queries.tables import cell_said, column_said, shown
from tests.web.reading import main_of, text_of

# The tables are files: they read alike whatever the database.
pytestmark = pytest.mark.sqlite


def printed(name):
    """The rows of a table, read from its file without the site's own reader."""
    text = files("coop.core.tables").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@pytest.fixture
def address(member):
    return f"/{member.coop.slug}/tables/"


def test_every_table_is_listed_with_its_rows(as_member, address):
    page = text_of(as_member.get(address))
    for table in TABLES.values():
        assert table.title in page
        assert f"{len(table.rows):,} row" in page


@pytest.mark.parametrize("name", list(TABLES))
def test_each_table_shows_every_row_of_its_file(as_member, address, name):
    rows = printed(name)
    seen, number, pages = [], 1, 1
    while number <= pages:
        page = main_of(as_member.get(f"{address}{name}/", {"page": number}))
        seen += page.select("tbody tr")
        pages = -(-len(rows) // 100)
        number += 1
    assert len(seen) == len(rows)


def test_a_row_reads_as_it_is_printed(as_member, address):
    # USDA Complete Guide to Home Canning, 2015: whole-kernel corn, hot pack, quarts, dial gauge.
    page = main_of(as_member.get(f"{address}process_times/", {"q": "sweet corn whole quart dial"}))
    rows = [
        [cell.get_text(strip=True) for cell in row.select("th, td")] for row in page.select("tr")
    ]
    hot = ["Sweet corn", "whole kernel", "hot", "dial gauge", "quart"]
    assert any(row[:9] == [*hot, "4001", "6000", "85", "13"] for row in rows)


def test_on_a_phone_each_cell_says_what_it_is(as_member, address):
    row = main_of(as_member.get(f"{address}process_times/")).select_one("tbody tr")
    assert {"table-fold", "table-fold-two"} <= set(row.find_parent("table")["class"])
    assert row.th["scope"] == "row"
    assert {"minutes", "pressure, psi", "headspace, in", "source"} <= {
        cell["data-label"] for cell in row.select("td")
    }


def test_the_sources_of_the_rows_shown_are_spelled_out(as_member, address):
    page = text_of(as_member.get(f"{address}acidification/"))
    assert "Complete Guide to Home Canning" in page
    assert "2015" in page


def test_a_search_goes_through_all_tables_and_needs_every_word(as_member, address):
    page = text_of(as_member.get(address, {"q": "figs citric"}))
    assert "Acid in each jar" in page
    assert "Process times" not in page


def test_a_search_that_finds_much_leads_to_all_of_it(as_member, address):
    page = main_of(as_member.get(address, {"q": "tomato juice"}))
    wanted = f"{address}process_times/?q=tomato%20juice"
    assert page.find("a", href=wanted) is not None
    assert len(page.select("section")[0].select("tbody tr")) == 20


@pytest.mark.parametrize("search", ["zebra", "%", "<script>", "\0", "x" * 500])
def test_a_search_that_finds_nothing_says_so(as_member, address, search):
    for page in (address, f"{address}syrups/"):
        response = as_member.get(page, {"q": search})
        assert response.status_code == 200
        assert "has all these words" in text_of(response)


def test_a_table_that_is_not_there_is_404(as_member, address):
    assert as_member.get(f"{address}no_such_table/").status_code == 404


@pytest.mark.parametrize("page", ["0", "-1", "99", "x"])
def test_a_page_out_of_reach_shows_the_nearest(as_member, address, page):
    response = as_member.get(f"{address}process_times/", {"page": page})
    assert response.status_code == 200
    assert main_of(response).select("tbody tr")


def test_no_key_of_the_tables_is_shown_bare(as_member, address):
    for name in TABLES:
        heads = main_of(as_member.get(f"{address}{name}/")).select("thead th")
        assert heads
        assert not [head for head in heads if "_" in head.get_text()]


def test_words_of_columns_and_cells():
    assert column_said("pressure_psi") == "pressure, psi"
    assert cell_said("container", "") == ""
    assert cell_said("note", "keep_this") == "keep_this"


def test_columns_that_a_search_leaves_empty_are_left_out():
    assert "pressure_psi" not in [column.key for column in shown("process_times", "jam").columns]
    assert "pressure_psi" in [column.key for column in shown("process_times", "okra").columns]


def test_others_do_not_see_the_tables_of_a_coop(as_stranger, as_outsider, signed_out, address):
    assert as_stranger.get(address).status_code == 404
    assert as_outsider.get(address).status_code == 404
    assert signed_out.get(address).status_code == 302
