"""How long what was put up keeps: the table's own months, counted by the calendar."""

from datetime import date

import pytest

from coop.core.storage import best_by, months_after
from coop.core.tables import storage_rows

MADE = date(2026, 8, 12)


@pytest.mark.parametrize(
    ("way", "produce", "until"),
    (
        # USDA Complete Guide to Home Canning (2015): can no more than is used within a year.
        ("can", "tomato", date(2027, 8, 12)),
        # NCHFP, "Freezing: how long": fruits and vegetables 8 to 12 months at 0 F.
        ("freeze", "sweet_corn", date(2027, 8, 12)),
        # The same page: citrus fruit and juices 4 to 6 months.
        ("freeze", "grapefruit_orange", date(2027, 2, 12)),
        # University of Minnesota, "Drying food": dried sweet corn at 70 F keeps 3 to 4 months.
        ("dry", "sweet_corn", date(2026, 12, 12)),
        # NCHFP, "Packaging and storing dried foods": fruits 6 months at 80 F, vegetables half that.
        ("dry", "apples", date(2027, 2, 12)),
        ("dry", "okra", date(2026, 11, 12)),
    ),
)
def test_best_by_is_as_published(way, produce, until):
    assert best_by(way, produce, MADE).on == until


def test_what_is_kept_in_a_way_that_has_no_row_has_no_date():
    assert best_by("smoke", "apples", MADE) is None


def test_every_named_dried_food_takes_its_own_warmest_row():
    named = {row.food for row in storage_rows() if row.kind == "dried"}
    seen = 0
    for food in named - {"any", "fruits", "vegetables"}:
        row = best_by("dry", food, MADE).row
        warmest = max(
            int(each.storage_temperature_f)
            for each in storage_rows()
            if (each.kind, each.food) == ("dried", food)
        )
        assert (row.food, int(row.storage_temperature_f)) == (food, warmest)
        seen += 1
    assert seen >= 10


def test_the_reason_says_which_row_it_was():
    assert best_by("dry", "tomato", MADE).reason == "dried tomatoes kept at 70 F: 2 to 3 months"
    assert best_by("dry", "summer_squash", MADE).reason.endswith(": 1 month")
    assert best_by("freeze", "peaches", MADE).reason == (
        "frozen fruit and vegetables kept at 0 F: 8 to 12 months"
    )


def test_a_month_too_short_takes_its_last_day():
    # Calendar arithmetic, by hand: 2028 is a leap year.
    assert months_after(date(2027, 8, 31), 6) == date(2028, 2, 29)
    assert months_after(date(2026, 12, 15), 1) == date(2027, 1, 15)
