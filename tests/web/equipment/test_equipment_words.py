"""Equipment in words: hours of the week, spans by the co-op's clocks, and real hours."""

from datetime import UTC, datetime

import pytest
from django.template import Context, Template

from coop.equipment.models import OpenHours
from coop.equipment.words import (
    hours_said,
    later_by,
    later_said,
    minutes_between,
    name_of,
    span_said,
)
from tests.web import equipment_factories as rows
from tests.web.factories import NOW

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


def week(*spans):
    return [OpenHours(weekday=day, from_minute=start, to_minute=end) for day, start, end in spans]


@pytest.mark.parametrize(
    ("hours", "said"),
    (
        ((), "at any time"),
        ([(day, 480, 1200) for day in range(7)], "every day 8:00 to 20:00"),
        (
            [(5, 840, 1080), *((day, 480, 1200) for day in range(5)), (5, 540, 720)],
            "Mon to Fri 8:00 to 20:00; Sat 9:00 to 12:00 and 14:00 to 18:00",
        ),
        ([(0, 0, 1440), (1, 0, 1440)], "Mon and Tue 0:00 to 24:00"),
        ([(0, 480, 600), (2, 480, 600)], "Mon 8:00 to 10:00; Wed 8:00 to 10:00"),
        ([(6, 480, 510)], "Sun 8:00 to 8:30"),
    ),
)
def test_hours_of_the_week_put_days_that_are_alike_together(hours, said):
    assert hours_said(week(*hours)) == said


def test_a_span_says_the_day_again_only_where_it_changes(coop):
    start = datetime(2026, 8, 13, 20, 0, tzinfo=UTC)
    assert span_said(start, start.replace(hour=23), coop) == "Thu 13 Aug, 14:00 to 17:00"
    later = datetime(2026, 8, 15, 12, 0, tzinfo=UTC)
    assert span_said(start, later, coop) == "Thu 13 Aug, 14:00 to Sat 15 Aug, 6:00"


def test_hours_over_a_clock_change_are_real_hours(coop):
    # US daylight saving time ends on Sunday 1 November 2026 at 2:00 (Energy Policy Act of 2005).
    start = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    end = datetime(2026, 11, 1, 9, 30, tzinfo=UTC)
    assert minutes_between(start, end) == 180
    assert span_said(start, end, coop) == "Sun 1 Nov, 0:30 to 2:30"


def test_a_long_name_is_cut_for_a_sentence(coop):
    assert len(name_of(rows.make_thing(coop, name="n" * 80))) == 60


@pytest.mark.parametrize(
    ("text", "said"),
    (
        ("{{ 180|length }}", "3 h"),
        ("{{ many|length }}", "2"),
        ("{{ 90|length }}", "1 h 30 min"),
        ("{{ 'freeze_dryer'|kind_words }}", "freeze dryer"),
        ("{{ 'weighted'|gauge_words }}", "weighted gauge"),
        ("{{ stoves|stove_words }}", "smooth glass top"),
        ("{{ 185|pounds }}", "18.5 lb"),
        ("{{ 120|amps }}", "12 A"),
        ("{{ 115|psi }}", "11.5 psi"),
        ("{{ booking|lasts }}", "3 h"),
    ),
)
def test_tags_say_it_on_pages(coop, text, said):
    booking = rows.make_booking(rows.make_thing(coop), start=NOW)
    values = {"many": [1, 2], "stoves": ["smooth", "no such"], "booking": booking}
    drawn = Template("{% load equipment_words %}" + text).render(Context(values))
    # A number keeps to its unit at the end of a line.
    assert drawn.replace("\N{NO-BREAK SPACE}", " ") == said


def test_a_number_is_never_parted_from_its_unit_by_the_end_of_a_line():
    drawn = Template("{% load equipment_words %}{{ 630|length }}").render(Context())
    assert drawn == "10\N{NO-BREAK SPACE}h 30\N{NO-BREAK SPACE}min"


def test_how_much_later_something_begins_says_the_day_only_where_it_changes(coop):
    one = datetime(2026, 11, 26, 20, 0, tzinfo=UTC)  # 13:00 in Denver, in winter
    assert later_said(one, one.replace(hour=23), coop) == (
        "Thu 26 Nov, 16:00 in place of 13:00 (3 h later)"
    )
    assert later_said(one, one.replace(day=27, hour=15), coop) == (
        "Fri 27 Nov, 8:00 in place of Thu 26 Nov, 13:00 (19 h later)"
    )
    assert later_by(one, one.replace(hour=23), coop) == "the same day, 3 h later"
    assert later_by(one, one.replace(day=27, hour=15), coop) == "19 h later"
