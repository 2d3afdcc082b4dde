"""Retiring a thing, refused while somebody counts on it, and bringing it back."""

from datetime import timedelta

import pytest

from coop.equipment.actions.retiring import StillWanted, bring_back, retire
from coop.equipment.models import Told
from coop.people.errors import NotAllowed
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import main_of, text_of

HOUR = timedelta(hours=1)


@pytest.fixture
def thing(household):
    return rows.make_thing(owner=household, name="Old mill", kind="mill")


def post(client, thing, page):
    return client.post(f"/cottonwood/equipment/things/{thing.pk}/{page}/", follow=True)


def test_a_thing_is_retired_and_brought_back(as_member, thing):
    assert "Old mill is retired." in text_of(post(as_member, thing, "retire"))
    thing.refresh_from_db()
    assert thing.retired_at == NOW
    page = main_of(as_member.get(f"/cottonwood/equipment/things/{thing.pk}/"))
    assert not page.select('a[href*="/book/"]')
    assert "Old mill is on the list again." in text_of(post(as_member, thing, "bring-back"))
    thing.refresh_from_db()
    assert thing.retired_at is None


def test_twice_does_no_harm(thing):
    for act in (retire, retire, bring_back, bring_back):
        act(thing.pk, by=thing.by)
    thing.refresh_from_db()
    assert thing.retired_at is None


@pytest.mark.sqlite  # about the page alone
def test_while_it_is_out_it_says_with_whom(as_member, thing, other_household):
    rows.make_out(rows.make_booking(thing, other_household, start=NOW - 2 * HOUR))
    answer = post(as_member, thing, "retire")
    assert answer.status_code == 409
    assert "Old mill is with Dufresne." in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_while_it_is_booked_it_says_for_when_and_how_many_more(as_member, thing, other_household):
    rows.make_booking(thing, other_household)
    rows.make_booking(thing, other_household, start=NOW + 48 * HOUR)
    answer = post(as_member, thing, "retire")
    assert answer.status_code == 409
    assert (
        "Dufresne has booked Old mill for Wed 12 Aug, 9:00 to 12:00, and 1 more booking."
        in text_of(answer)
    )
    thing.refresh_from_db()
    assert thing.retired_at is None


def test_what_is_cancelled_over_or_back_does_not_hold_it(thing, other_household):
    rows.make_booking(thing, other_household, cancelled_at=NOW)
    past = rows.make_booking(thing, other_household, start=NOW - 9 * HOUR)
    rows.make_out(past)
    rows.make_back(past)
    rows.make_booking(thing, other_household, start=NOW - 30 * HOUR)
    assert retire(thing.pk, by=thing.by).retired_at == NOW


def test_places_in_line_end_and_are_told(thing, other_household):
    place = rows.make_standby(thing, other_household)
    retire(thing.pk, by=thing.by)
    place.refresh_from_db()
    assert place.ended_at == NOW
    assert "your place in line for it has ended" in Told.objects.get().sentence


def test_another_name_by_then_keeps_it_retired(as_member, thing, coop):
    retire(thing.pk, by=thing.by)
    rows.make_thing(coop, name="OLD MILL")
    answer = post(as_member, thing, "bring-back")
    assert answer.status_code == 409
    assert "A thing of that name is on the list." in text_of(answer)


@pytest.mark.sqlite  # about the page alone
def test_who_may(as_other_household_member, as_outsider, other_household_member, thing):
    for page in ("retire", "bring-back"):
        assert post(as_other_household_member, thing, page).status_code == 403
        assert post(as_outsider, thing, page).status_code == 404
    for act in (retire, bring_back):
        with pytest.raises(NotAllowed):
            act(thing.pk, by=other_household_member)


@pytest.mark.sqlite  # about the page alone
def test_looking_changes_nothing(as_member, thing):
    address = f"/cottonwood/equipment/things/{thing.pk}/"
    assert as_member.get(f"{address}bring-back/").status_code == 405
    assert main_of(as_member.get(f"{address}retire/")).select("form .button-warn")
    thing.refresh_from_db()
    assert thing.retired_at is None


@pytest.mark.sqlite  # about the page alone
def test_the_page_lists_what_stands_in_the_way_and_has_no_button(as_member, thing, other_household):
    bookings = [
        rows.make_booking(thing, other_household),
        rows.make_booking(thing, other_household, start=NOW + 48 * HOUR),
    ]
    address = f"/cottonwood/equipment/things/{thing.pk}/"
    for answer in (as_member.get(f"{address}retire/"), post(as_member, thing, "retire")):
        page = main_of(answer)
        assert not page.select("form")
        links = [link["href"] for link in page.select('.row a[href*="/bookings/"]')]
        assert links == [f"/cottonwood/equipment/bookings/{each.pk}/" for each in bookings]
    assert main_of(as_member.get(address)).select(f'a[href="{address}retire/"]')


@pytest.mark.sqlite  # about the page alone
def test_the_refusal_names_the_bookings(thing, other_household):
    booking = rows.make_booking(thing, other_household)
    with pytest.raises(StillWanted) as refusal:
        retire(thing.pk, by=thing.by)
    assert refusal.value.bookings == [booking]
