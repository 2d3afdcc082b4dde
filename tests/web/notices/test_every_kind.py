"""Every kind of notices that the site knows: it can be chosen, kept and said."""

import re
from itertools import groupby

import pytest

from coop.core.reminders import Lead, lead_of
from coop.notices.kinds import AT_ONCE, Kind, all_kinds
from coop.notices.models import Choice, Matter, Notice
from tests.web.notices.plain_words import unsaid

#: By hand, from the table of what people who do this need to be told, and how long before.
NEEDED = {
    "asks close soon": "buy_closes",
    "called in": "buy_news",
    "pickup window": "buy_pickup",
    "your share is not fetched": "buy_unfetched",
    "your booking starts": "booking_starts",
    "is due back": "booking_due",
    "is late": "booking_late",
    "a standby offer": "standby_offer",
    "check that the jars sealed": "seal_check",
    "gauge test due": "gauge_due",
    "you owe": "money_to_pay",
    "you are owed": "money_owed",
    "jars to return": "jars_due",
    "the coordinator writes": "written",
}
PARTS = {"Buys", "Money", "Equipment", "Jars", "Kitchen", "Letters"}


def longest(model, name):
    return model._meta.get_field(name).max_length


def of_the_site():
    """Without those that tests declare for themselves."""
    return [kind for kind in all_kinds() if not kind.code.startswith("test_")]


KINDS = pytest.mark.parametrize("kind", of_the_site(), ids=lambda kind: kind.code)


def test_whatever_people_need_to_be_told_has_its_kind():
    codes = {kind.code for kind in of_the_site()}
    assert set(NEEDED.values()) <= codes
    assert len(codes) >= 25


def test_each_part_is_known_and_its_kinds_stand_together():
    parts = [part for part, _ in groupby(kind.part for kind in of_the_site())]
    assert sorted(parts) == sorted(PARTS)


@KINDS
def test_its_code_fits_wherever_it_is_kept(kind: Kind):
    assert re.fullmatch(r"[a-z]+(_[a-z]+)*", kind.code)
    assert len(kind.code) <= min(longest(Choice, "kind"), longest(Matter, "kind"))


@KINDS
def test_each_of_its_timings_can_be_chosen_and_kept(kind: Kind):
    codes = [timing.code for timing in kind.timings]
    assert codes
    assert len(set(codes)) == len(codes)
    assert len({timing.words for timing in kind.timings}) == len(codes)
    for timing in kind.timings:
        assert len(timing.code) <= longest(Choice, "timing")
        assert len(set(timing.leads)) == len(timing.leads) > 0
        for lead in timing.leads:
            assert lead_of(lead.code) == lead
            assert len(lead.code) <= longest(Notice, "lead")


@KINDS
def test_the_default_comes_first_and_tells_at_least_as_often_as_the_others(kind: Kind):
    often = [len(timing.leads) for timing in kind.timings]
    assert often[0] == max(often)


@KINDS
def test_news_are_told_at_once_and_in_no_calendar(kind: Kind):
    if any(lead == Lead() for timing in kind.timings for lead in timing.leads):
        assert not kind.in_calendar  # an alarm at the moment itself is no use
    if kind.in_calendar:
        leads = [lead for timing in kind.timings for lead in timing.leads]
        assert all(lead.minutes < 0 or (lead.days or 0) < 0 for lead in leads)


@KINDS
def test_what_is_told_at_some_time_has_an_example_in_words(kind: Kind):
    assert bool(kind.example) == (kind.timings != AT_ONCE)
    assert not unsaid(kind.example)
    assert kind.example == kind.example.strip(" .")


@KINDS
def test_what_can_wait_for_a_day_is_not_told_within_hours(kind: Kind):
    hours = [lead for timing in kind.timings for lead in timing.leads if lead.minutes]
    assert not (kind.can_wait and hours)


@KINDS
def test_it_is_said_in_plain_words(kind: Kind):
    for words in (kind.words, *(timing.words for timing in kind.timings)):
        assert not unsaid(words), words
        assert len(words) <= 60
        assert not words.endswith(".")
    assert kind.words[0].isupper()
    assert all(timing.words[0].islower() or timing.words[0].isdigit() for timing in kind.timings)
