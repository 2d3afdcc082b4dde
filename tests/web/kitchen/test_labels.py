"""Labels: a sheet in millimetres, texts that fit, and a QR code that leads to the lot."""

import re
from fractions import Fraction

import pytest
import segno
from bs4 import BeautifulSoup
from django.db import connection
from django.test.utils import CaptureQueriesContext
from stdnum import damm

from coop.core.labels import ems
from coop.kitchen.drawings import (
    PADDING_MM,
    QUIET,
    SMALLEST_HEIGHT_MM,
    SMALLEST_WIDTH_MM,
    Label,
    draw_label,
    qr_matrix,
    qr_path,
)
from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

# A sheet of labels is drawn from one lot: it is alike whatever the database.
pytestmark = pytest.mark.sqlite

SIZES = {
    "paper": "a4",
    "label_width": "63.5",
    "label_height": "38.1",
    "margin_left": "7.2",
    "margin_top": "15.1",
    "gap_x": "2.5",
    "gap_y": "0",
}
LONG = Label(
    household="The Featherstonehaugh-Wriothesley household of Upper Juniper Mesa",
    mark="F",
    product="Pumpkin or winter squash, vegetable, bean, meat or poultry with okra or zucchini",
    put_up_as="raw pack, half-gallon, regular mouth",
    made="30 Sep 2026",
    best_by="September 2027",
    code="12 34 56 78",
    url="https://larders.example.test/a-co-op-with-a-very-long-name-of-its-own/l/12345678/",
)


@pytest.fixture
def page(coop):
    return f"/{coop.slug}/lots/labels/"


@pytest.fixture
def lot(household, member):
    return rows.make_lot(household, sealed=6)


def svgs(answer):
    """The sheets, parsed as the SVG that they are: names keep their capitals."""
    return BeautifulSoup(answer.content, "html.parser").select("svg.sheet")


def matrix_of(path):
    """The dark modules of a path, read back from it."""
    return {
        (int(x) + step, int(y))
        for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path)
        for step in range(int(length))
    }


# ---- What stands on a label -----------------------------------------------------------------
def test_a_label_says_name_product_date_lot_and_best_by(as_member, page, lot):
    (sheet,) = svgs(as_member.get(page, {"lot": lot.pk}))
    said = " ".join(text.get_text() for text in sheet.select("text"))
    for words in ("C · Castell", "Sweet corn, whole kernel", "hot pack, quart, regular mouth"):
        assert words in said
    assert "Put up 11 Aug 2026" in said
    assert "Best by August 2027" in said
    # The check digit by another library, python-stdnum.
    assert f"Lot 10 1{damm.calc_check_digit('101')}" in said


def test_the_page_says_which_published_row_the_date_comes_from(as_member, page, household, member):
    lot = rows.make_lot(household, way="dry", counted_out=3)
    section = sections_of(as_member.get(page, {"lot": lot.pk}))["Best by, as published"]
    # University of Minnesota, drying charts: dried sweet corn at 70 F keeps 3 to 4 months.
    assert "December 2026" in section
    assert "dried sweet corn kept at 70 F: 3 to 4 months, for quality" in section
    assert "University of Minnesota" in section


def test_without_a_published_storage_life_there_is_no_date(as_member, page, lot, monkeypatch):
    monkeypatch.setattr("coop.core.storage.storage_rows", tuple)
    answer = as_member.get(page, {"lot": lot.pk})
    assert "Best by" not in svgs(answer)[0].get_text()
    assert "No storage life is published" in text_of(answer)


def test_the_qr_code_is_that_of_the_lots_page(as_member, page, lot):
    (sheet,) = svgs(as_member.get(page, {"lot": lot.pk}))
    code = re.search(r"Lot ([\d ]+)", sheet.get_text())[1].replace(" ", "")
    url = f"http://testserver/cottonwood/l/{code}/"
    made = segno.make(url, error="m", micro=False)
    dark = {(x, y) for y, row in enumerate(made.matrix) for x, bit in enumerate(row) if bit}
    assert matrix_of(sheet.select_one("path")["d"]) == dark
    assert as_member.get(f"/cottonwood/l/{code}/").url == f"/cottonwood/lots/{lot.pk}/"


def test_a_path_of_runs_draws_every_dark_module_once():
    matrix = qr_matrix(LONG.url)
    dark = {(x, y) for y, row in enumerate(matrix) for x, bit in enumerate(row) if bit}
    assert matrix_of(qr_path(matrix)) == dark
    # ISO/IEC 18004: versions are 21, 25, 29 … modules wide; the finder's ring is 7 dark modules.
    assert (len(matrix) - 21) % 4 == 0
    assert qr_path(matrix).startswith("M0 0h7v1h-7z")


@pytest.mark.parametrize(
    ("width", "height"),
    ((60, 40), (SMALLEST_WIDTH_MM, SMALLEST_HEIGHT_MM), (25, 80), (100, 55), (300, 20), (200, 200)),
)
@pytest.mark.parametrize("best_by", ("September 2027", ""))
def test_the_longest_names_stay_inside_their_label_and_off_the_qr_code(width, height, best_by):
    label = Label(**{**vars(LONG), "best_by": best_by})
    drawn = draw_label(label, Fraction(width), Fraction(height))
    modules = len(qr_matrix(LONG.url))
    x, y, scale = (float(value) for value in (drawn.qr_x, drawn.qr_y, drawn.qr_scale))
    quiet = QUIET * scale
    assert min(x, y) >= quiet - 0.01
    assert x + modules * scale + quiet <= width + 0.01
    assert y + modules * scale + quiet <= height + 0.01
    beside = x - quiet if height <= width * 1.25 else width
    under = height if height <= width * 1.25 else y - quiet
    for line in drawn.lines:
        size = float(line.size)
        assert float(line.x) + float(ems(line.words)) * size <= beside - float(PADDING_MM) + 0.01
        assert size <= float(line.y) + 0.1
        assert float(line.y) <= under


def test_a_short_name_is_not_cut():
    words = {"product": "Sweet corn, whole kernel", "household": "Castell"}
    drawn = draw_label(Label(**{**vars(LONG), **words}), Fraction(60), Fraction(40))
    said = " ".join(line.words for line in drawn.lines)
    assert "Sweet corn, whole kernel" in said
    assert "…" not in said


@pytest.mark.parametrize("month", ("September 2027", "May 2027"))
def test_a_date_and_a_code_are_never_cut_however_small_the_label(month):
    label = Label(**{**vars(LONG), "best_by": month})
    drawn = draw_label(label, Fraction(SMALLEST_WIDTH_MM), Fraction(SMALLEST_HEIGHT_MM))
    said = [line.words for line in drawn.lines]
    assert {"Put up 30 Sep 2026", f"Best by {month}", "Lot 12 34 56 78"} <= set(said)


# ---- The sheet ------------------------------------------------------------------------------
def test_sheets_are_as_large_as_the_paper_and_every_label_stands_inside(as_member, page, lot):
    answer = as_member.get(page, SIZES | {"lot": lot.pk, f"count_{lot.pk}": "30", "used": "2"})
    sheets = svgs(answer)
    # By hand: (210 - 7.2 + 2.5) / 66 = 3.1 columns and (297 - 15.1) / 38.1 = 7.4 rows: 21 a sheet,
    # of which the first has 19 left.
    assert [len(sheet.select("use")) for sheet in sheets] == [19, 11]
    for sheet in sheets:
        assert (sheet["width"], sheet["height"]) == ("210mm", "297mm")
        assert sheet["viewbox"] == "0 0 210 297"
        for use in sheet.select("use"):
            assert 0 <= float(use["x"]) <= 210 - 63.5
            assert 0 <= float(use["y"]) <= 297 - 38.1
    third = sheets[0].select("use")[0]
    assert (third["x"], third["y"]) == ("139.2", "15.1")


def test_letter_paper_is_eight_and_a_half_by_eleven_inches(as_member, page, lot):
    (sheet,) = svgs(as_member.get(page, {"lot": lot.pk}))
    assert (sheet["width"], sheet["height"]) == ("215.9mm", "279.4mm")


def test_paper_of_ones_own(as_member, page, lot):
    own = SIZES | {"lot": lot.pk, f"count_{lot.pk}": "1", "paper": "own"}
    answer = as_member.get(page, own | {"paper_width": "102", "paper_height": "76 mm"})
    (sheet,) = svgs(answer)
    assert sheet["viewbox"] == "0 0 102 76"


def test_each_lot_has_as_many_labels_as_jars(as_member, page, household, member):
    sealed = rows.make_lot(household, 7, sealed=6, counted_out=7)
    out = rows.make_lot(household, 7, counted_out=5)
    in_ = rows.make_lot(household, 4)
    answer = as_member.get(page, {"lot": [sealed.pk, out.pk, in_.pk]})
    hrefs = [use["href"] for sheet in svgs(answer) for use in sheet.select("use")]
    counts = [hrefs.count(f"#label-1-{lot.pk}") for lot in (sealed, out, in_)]
    assert counts == [6, 5, 4]


def test_the_sizes_are_remembered_and_the_counts_are_not(as_member, page, lot):
    as_member.get(page, SIZES | {"lot": lot.pk, f"count_{lot.pk}": "1"})
    (sheet,) = svgs(as_member.get(page, {"lot": lot.pk}))
    assert sheet["viewbox"] == "0 0 210 297"
    assert sheet.select_one("rect")["width"] == "63.5"
    assert len(sheet.select("use")) == 6


def test_thin_lines_are_printed_only_where_they_are_asked_for(as_member, page, lot):
    typed = SIZES | {"lot": lot.pk, f"count_{lot.pk}": "1"}
    (plain,) = svgs(as_member.get(page, typed))
    (lined,) = svgs(as_member.get(page, typed | {"edges": "on"}))
    assert plain.select(".sheet-edge-unprinted")
    assert not lined.select(".sheet-edge-unprinted")


# ---- What cannot be printed -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    (
        ({"label_width": "250"}, "label_width", "the paper has 210 mm"),
        ({"label_height": "290"}, "label_height", "the paper has 297 mm"),
        ({"label_width": "5"}, "label_width", "less than 25 mm"),
        ({"label_height": ""}, "label_height", "required"),
        ({"margin_top": "-1"}, "margin_top", "less than 0 mm"),
        ({"gap_x": "wide"}, "gap_x", "in figures"),
        ({"gap_y": "0.001"}, "gap_y", "two decimals"),
        ({"used": "21"}, "used", "at most 20 can be used"),
        ({"paper": "a3"}, "paper", "valid choice"),
        ({"paper": "own"}, "paper_width", "width and the height"),
        ({"label_width": "1001"}, "label_width", "more than 1000 mm"),
    ),
)
def test_a_size_that_cannot_be_is_refused_at_its_field(
    as_member, page, lot, typed, field, sentence
):
    whole = SIZES | {"lot": lot.pk, f"count_{lot.pk}": "3"} | typed
    answer = as_member.get(page, whole)
    assert answer.status_code == 422
    assert not svgs(answer)
    assert sentence in main_of(answer).select_one(f"#id_{field}_error").get_text()
    assert main_of(answer).select_one("[name=margin_left]")["value"] == "7.2"


def test_too_many_labels_at_once_are_refused(as_member, page, household, member):
    lots = [rows.make_lot(household, sealed=6) for _ in range(2)]
    counts = {f"count_{lot.pk}": "301" for lot in lots}
    answer = as_member.get(page, SIZES | {"lot": [lot.pk for lot in lots]} | counts)
    assert answer.status_code == 422
    assert "602 labels: at most 600" in text_of(answer)


def test_a_refused_size_is_not_remembered(as_member, page, lot):
    as_member.get(page, SIZES | {"lot": lot.pk, "label_width": "250"})
    assert svgs(as_member.get(page, {"lot": lot.pk}))[0]["viewbox"] == "0 0 215.9 279.4"


def test_no_label_is_asked_for(as_member, page, lot):
    answer = as_member.get(page, SIZES | {"lot": lot.pk, f"count_{lot.pk}": "0"})
    assert answer.status_code == 200
    assert "No label is asked for" in text_of(answer)


@pytest.mark.parametrize("named", ("0", "x", "-1", "9" * 30, "²", ""))
def test_a_lot_that_is_not_there_is_404(as_member, page, lot, named):
    assert as_member.get(page, {"lot": [lot.pk, named]}).status_code == 404


def test_another_coops_lot_is_404_and_so_is_the_page_for_a_stranger(
    as_member, as_outsider, page, lot, outsider
):
    theirs = rows.make_lot(outsider.household, sealed=6)
    assert as_member.get(page, {"lot": [lot.pk, theirs.pk]}).status_code == 404
    assert as_outsider.get(page, {"lot": lot.pk}).status_code == 404


# ---- Choosing lots --------------------------------------------------------------------------
def test_without_a_lot_the_newest_are_offered(as_member, page, lot):
    boxes = main_of(as_member.get(page)).select("[name=lot]")
    assert [box["value"] for box in boxes] == [str(lot.pk)]


def test_an_empty_coop_is_told_what_the_page_is_for(as_member, page):
    assert "No lots yet" in text_of(as_member.get(page))


def test_many_lots_ask_no_more_queries(as_member, page, household, member, coop):
    lots = [rows.make_lot(household, sealed=6) for _ in range(12)]
    with CaptureQueriesContext(connection) as few:
        as_member.get(page, {"lot": lots[0].pk})
    others = [
        rows.make_lot(factories.make_household(coop), sealed=6, load=lots[0].load)
        for _ in range(12)
    ]
    with CaptureQueriesContext(connection) as many:
        answer = as_member.get(page, {"lot": [lot.pk for lot in lots + others]})
    assert sum(len(sheet.select("use")) for sheet in svgs(answer)) == 24 * 6
    # The session that remembers is read, and written the first time alone.
    assert len(many) <= len(few)
