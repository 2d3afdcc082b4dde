"""A pasted list: shown as it is read, then kept; all of it or nothing."""

import pytest
from django.test import Client

from coop.jars.models import Count
from coop.jars.queries.stock import Held, HeldLids, stock_of
from coop.people.models import Household, Member
from tests.web import factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_count
from tests.web.reading import main_of, sections_of, text_of

pytestmark = pytest.mark.django_db
ADDRESS = "/cottonwood/jars/count/paste/"
QUARTS, PINTS = "quart_wide", "pint_regular"


def fields(answer: object) -> dict[str, str]:
    """What the form on a page would send, without its buttons."""
    form = main_of(answer).select_one("form[method=post]")
    assert form is not None
    sent = {str(field["name"]): str(field.get("value", "")) for field in form.select("input[name]")}
    area = form.select_one("textarea")
    assert area is not None
    return sent | {str(area["name"]): area.get_text().removeprefix("\r\n").removeprefix("\n")}


def read(client: Client, text: str) -> dict[str, str]:
    answer = client.post(ADDRESS, fields(client.get(ADDRESS)) | {"text": text})
    assert answer.status_code == 200
    return fields(answer)


def keep(client: Client, sent: dict[str, str]) -> object:
    return client.post(ADDRESS, sent | {"save": "1"})


@pytest.mark.sqlite  # about the page alone
def test_a_list_is_shown_before_anything_is_kept(as_member: Client) -> None:
    answer = as_member.post(ADDRESS, {"text": "24 quarts wide spare\npints: 30 empty"})
    shown = sections_of(answer)["Read so"]
    assert "1 24 quarts wide spare Quart, wide mouth: 24 spare" in shown
    assert "2 pints: 30 empty Pint, regular mouth: 30 empty (no mouth was said)" in shown
    assert fields(answer)["text"].splitlines() == ["24 quarts wide spare", "pints: 30 empty"]
    assert not Count.objects.exists()


def test_what_was_shown_is_kept_and_other_kinds_keep_their_numbers(
    as_member: Client, member: Member
) -> None:
    make_count(member.household, {QUARTS: (3, 10, 4), PINTS: (9, 9, 9)}, lids={"wide": (5, 6)})
    sent = read(as_member, "24 quarts wide spare\n48 lids regular")
    assert keep(as_member, sent).status_code == 302  # type: ignore[attr-defined]
    stock = stock_of(member.household)
    assert dict(stock.kinds) == {PINTS: Held(9, 9, 9), QUARTS: Held(3, 24, 24)}
    assert dict(stock.lids) == {"regular": HeldLids(48, 0), "wide": HeldLids(5, 6)}
    assert stock.counted_at == NOW


def test_fewer_empty_ones_leave_no_more_spare(as_member: Client, member: Member) -> None:
    make_count(member.household, {QUARTS: (3, 10, 8)})
    keep(as_member, read(as_member, "qt wide 5 empty"))
    assert dict(stock_of(member.household).kinds) == {QUARTS: Held(3, 5, 5)}


def test_a_list_changed_after_it_was_shown_is_shown_again(as_member: Client) -> None:
    sent = read(as_member, "24 quarts wide spare") | {"text": "42 quarts wide spare"}
    answer = keep(as_member, sent)
    assert "42 spare" in sections_of(answer)["Read so"]
    assert not Count.objects.exists()


def test_one_bad_line_keeps_all_of_the_list_out(as_member: Client) -> None:
    text = "24 quarts wide spare\nhello\nqt reg -3 full"
    answer = as_member.post(ADDRESS, {"text": text, "shown": text, "seen": "0", "save": "1"})
    assert answer.status_code == 422
    said = text_of(answer)
    assert "Line 2: No size of jar" in said
    assert "Line 3: -3 is below zero" in said
    assert fields(answer)["text"].splitlines() == text.splitlines()
    assert not Count.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "at least one line"),
        (" \n\n", "at least one line"),
        ("qt wide 5 empty 6 spare", "Line 1: 6 spare are more than 5 empty"),
        ("qt wide 5 empty\nqt wide 6 spare", "Line 2: 6 spare are more than 5 empty"),
        ("qt wide 1000000 full", "Line 1: 1000000 is more than 9,999"),
        ("qt wide 1 full\n" * 201, "more than 200 lines"),
        ("x" * 10_001, "at most 10000 characters"),
    ],
)
def test_wrong_lists_are_refused_with_a_reason(as_member: Client, text: str, said: str) -> None:
    answer = as_member.post(ADDRESS, {"text": text})
    assert answer.status_code == 422
    assert said in text_of(answer)


def test_a_list_sent_twice_is_one_count(as_member: Client, member: Member) -> None:
    sent = read(as_member, "24 quarts wide spare")
    for _ in range(2):
        assert keep(as_member, sent).status_code == 302  # type: ignore[attr-defined]
    assert member.household.jar_counts.count() == 1


def test_who_counted_meanwhile_is_said_and_the_list_stays(
    as_member: Client, member: Member
) -> None:
    sent = read(as_member, "24 quarts wide spare")
    partner = factories.make_member(member.household, "Tomas Castell")
    make_count(member.household, {PINTS: (1, 0, 0)}, by=partner, at=NOW)
    answer = keep(as_member, sent)
    assert "Tomas Castell has counted since" in text_of(answer)
    again = keep(as_member, fields(answer))
    assert again.status_code == 302  # type: ignore[attr-defined]
    assert dict(stock_of(member.household).kinds) == {PINTS: Held(1, 0, 0), QUARTS: Held(0, 24, 24)}


@pytest.mark.sqlite  # about the page alone
def test_only_its_members_and_a_coordinator_paste_for_a_household(
    as_member: Client, as_coordinator: Client, other_household: Household, outsider: Member
) -> None:
    theirs = f"{ADDRESS}?household={other_household.pk}"
    assert as_member.post(theirs, {"text": "3 qt wide full"}).status_code == 403
    assert as_coordinator.post(theirs, {"text": "3 qt wide full"}).status_code == 200
    absent = f"{ADDRESS}?household={outsider.household_id}"
    assert as_coordinator.post(absent, {"text": "3 qt wide full"}).status_code == 404
