"""Labels on a sheet, and text on a label."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coop.core.labels import DoesNotFit, Sheet, ems, fit_text

# US Letter is 8.5 x 11 inches, 215.9 x 279.4 mm; thirty address labels of 2 5/8 x 1 inch on it
# are common practice, no source.
LETTER = {"width_mm": Fraction("215.9"), "height_mm": Fraction("279.4")}
THIRTY = Sheet(
    **LETTER,
    margin_left_mm=Fraction("4.8"),
    margin_top_mm=Fraction("12.7"),
    label_width_mm=Fraction("66.7"),
    label_height_mm=Fraction("25.4"),
    gap_x_mm=Fraction("3.1"),
    gap_y_mm=0,
)
MEASURES = {
    "width_mm": 100,
    "height_mm": 80,
    "margin_left_mm": 5,
    "margin_top_mm": 6,
    "label_width_mm": 30,
    "label_height_mm": 20,
    "gap_x_mm": 2,
    "gap_y_mm": 1,
}


def test_a_letter_sheet_holds_three_times_ten():
    assert (THIRTY.columns, THIRTY.rows, THIRTY.per_page) == (3, 10, 30)


def test_the_last_label_ends_on_the_paper():
    left, top = THIRTY.places(30)[0][-1]
    assert (left, top) == (Fraction("144.4"), Fraction("241.3"))
    assert left + THIRTY.label_width_mm == Fraction("211.1")
    assert top + THIRTY.label_height_mm == Fraction("266.7")


def test_labels_go_row_by_row():
    """By hand: 5 + 3 x 30 + 2 x 2 = 99 of 100 mm across."""
    assert Sheet(**MEASURES).places(4) == [[(5, 6), (37, 6), (69, 6), (5, 27)]]


def test_a_sheet_begun_is_gone_on_with():
    first, second = THIRTY.places(5, first=28)
    whole = THIRTY.places(30)[0]
    assert (first, second) == (whole[28:], whole[:3])


@given(st.integers(0, 100), st.integers(0, 29))
def test_every_label_has_a_place_of_its_own(count, first):
    pages = THIRTY.places(count, first)
    assert sum(map(len, pages)) == count
    assert all(len(set(page)) == len(page) > 0 for page in pages)
    assert len(pages) == (-(-(first + count) // 30) if count else 0)


@given(st.tuples(*[st.integers(0, 60)] * 6), st.integers(1, 200), st.integers(1, 200))
def test_no_label_overlaps_another_or_hangs_over_the_edge(measures, width, height):
    left, top, label_width, label_height, gap_x, gap_y = measures
    try:
        sheet = Sheet(width, height, left, top, label_width, label_height, gap_x, gap_y)
    except DoesNotFit:
        assert min(label_width, label_height) == 0 or (
            left + label_width > width or top + label_height > height
        )
        return
    places = sheet.places(sheet.per_page)[0]
    right, foot = max(x for x, _ in places), max(y for _, y in places)
    assert right + label_width <= width < right + 2 * label_width + gap_x
    assert foot + label_height <= height < foot + 2 * label_height + gap_y
    for one, other in pairwise(places):
        assert other[0] - one[0] == label_width + gap_x or other[1] - one[1] == label_height + gap_y


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("width_mm", 0, "Width 0 mm: it must be above 0."),
        ("label_height_mm", -1, "Label height -1 mm: it must be above 0."),
        ("margin_top_mm", Fraction(-1, 2), "Margin top -0.5 mm: it must be 0 or more."),
        ("gap_x_mm", -1, "Gap x -1 mm: it must be 0 or more."),
        ("label_width_mm", 96, "Label width: with its margin a label takes 101 mm, and the paper"),
        ("label_height_mm", 75, "Label height: with its margin a label takes 81 mm, and the paper"),
    ],
)
def test_what_does_not_fit_is_named(field, value, sentence):
    with pytest.raises(DoesNotFit) as caught:
        Sheet(**{**MEASURES, field: value})
    assert caught.value.field == field
    assert caught.value.sentence.startswith(sentence)


def test_one_label_as_large_as_the_paper_fits():
    assert Sheet(62, 29, 0, 0, 62, 29).places(2) == [[(0, 0)], [(0, 0)]]


def test_tenths_as_floats_are_refused():
    with pytest.raises(ValueError, match=r"Gap y 0.1 mm is neither a whole number nor a Fraction"):
        Sheet(**{**MEASURES, "gap_y_mm": 0.1})


def test_a_sheet_that_is_used_up_is_refused():
    with pytest.raises(
        DoesNotFit, match="The sheet has 30 labels: at most 29 can be used"
    ) as caught:
        THIRTY.places(1, first=30)
    assert caught.value.field == "first"


@pytest.mark.parametrize(("count", "first"), [(-1, 0), (1, -1)])
def test_less_than_no_labels_is_refused(count, first):
    with pytest.raises(ValueError, match="neither is below 0"):
        THIRTY.places(count, first)


def test_a_short_text_keeps_its_size():
    fitted = fit_text("Peaches", 60, 5, smallest_mm=2, lines=1)
    assert (fitted.lines, fitted.size_mm, fitted.cut) == (("Peaches",), 5, False)


def test_a_text_is_wrapped_before_it_is_made_smaller():
    fitted = fit_text("Whole kernel sweet corn", 60, 6, smallest_mm=2, lines=2)
    assert (len(fitted.lines), fitted.size_mm) == (2, 6)


def test_a_text_is_made_smaller_before_it_is_cut():
    fitted = fit_text("Whole kernel sweet corn", 40, 6, smallest_mm=2, lines=1)
    assert fitted.lines == ("Whole kernel sweet corn",)
    assert 2 < fitted.size_mm < 6


def test_only_what_cannot_be_read_otherwise_is_cut():
    fitted = fit_text("Whole kernel sweet corn", 16, 6, smallest_mm=3, lines=2)
    assert fitted.cut
    assert fitted.size_mm == 3
    assert fitted.lines[-1].endswith("…")


def test_a_word_wider_than_the_label_is_broken():
    fitted = fit_text("Sauerkrautsaftflasche", 20, 6, smallest_mm=3, lines=3)
    assert "".join(fitted.lines) == "Sauerkrautsaftflasche"
    assert (len(fitted.lines) > 1, fitted.cut) == (True, False)


def test_no_text_is_one_empty_line():
    assert fit_text("  ", 20, 6, smallest_mm=3, lines=2).lines == ("",)


@given(st.text(max_size=60), st.integers(5, 80), st.integers(1, 4))
def test_every_line_fits_and_nothing_is_lost_unsaid(text, width, lines):
    fitted = fit_text(text, width, 6, smallest_mm=2, lines=lines)
    assert len(fitted.lines) <= lines
    assert 2 <= fitted.size_mm <= 6
    assert all(ems(line) * fitted.size_mm <= width for line in fitted.lines)
    said = "".join("".join(fitted.lines).split())
    if fitted.cut:
        assert "".join(text.split()).startswith(said.removesuffix("…"))
    else:
        assert said == "".join(text.split())


@given(st.text(max_size=40), st.integers(5, 60))
def test_a_wider_label_never_has_smaller_text(text, width):
    narrow, wide = (fit_text(text, w, 6, smallest_mm=2, lines=2) for w in (width, width + 5))
    assert wide.size_mm >= narrow.size_mm
    assert narrow.cut or not wide.cut


@pytest.mark.parametrize(
    "wrong", [{"width_mm": 0}, {"lines": 0}, {"smallest_mm": 0}, {"smallest_mm": 7}]
)
def test_measures_of_a_text_are_checked(wrong):
    with pytest.raises(ValueError, match="each must be above 0"):
        fit_text("Plums", **{"width_mm": 20, "size_mm": 6, "smallest_mm": 2, "lines": 1, **wrong})
