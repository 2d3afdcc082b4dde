"""Pages of bookings: one of them, the lists, moving, ending and cancelling."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coop.equipment.models import Booking
from tests.web.equipment_factories import HOUR, make_booking, make_fault, make_out, make_thing
from tests.web.factories import NOW
from tests.web.reading import main_of, sections_of, text_of

DAY = timedelta(days=1)


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Red", turnaround_minutes=60)


def to(coop, name, *keys):
    return reverse(f"equipment:{name}", args=[coop.slug, *keys])


def form_of(canner, /, **changes):
    """What the form sends for tomorrow, 9:00 to 12:00 in Denver."""
    typed = {"thing": canner.pk, "starts_at": "2026-08-12T09:00", "ends_at": "2026-08-12T12:00"}
    return typed | changes


def first_link(response, words):
    [link, *_] = [a for a in main_of(response).select("a") if words in a.get_text()]
    return link["href"]


# ---- the page of a booking ------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_everybody_in_the_co_op_may_read_a_booking(
    coop, as_member, as_other_household_member, as_coordinator, as_treasurer, canner, household
):
    household.phone = "555-0142"
    household.save()
    booking = make_booking(canner, household)
    for client in (as_member, as_other_household_member, as_coordinator, as_treasurer):
        page = client.get(to(coop, "booking", booking.pk))
        assert page.status_code == 200
        assert main_of(page).select_one('a[href="tel:555-0142"]')


@pytest.mark.sqlite  # about the page alone
def test_what_can_be_done_is_shown_to_whom_it_is_for(
    coop, as_member, as_other_household_member, canner, household
):
    booking = make_booking(canner, household)
    url = to(coop, "move", booking.pk)
    address = to(coop, "booking", booking.pk)
    assert main_of(as_member.get(address)).select_one(f'a[href="{url}"]')
    assert not main_of(as_other_household_member.get(address)).select_one(f'a[href="{url}"]')


@pytest.mark.sqlite  # about the page alone
def test_the_history_of_a_booking_is_told_in_sentences(coop, as_member, canner):
    as_member.post(to(coop, "book"), form_of(canner))
    booking = Booking.objects.get()
    typed = {"starts_at": "2026-08-12T10:00", "ends_at": "2026-08-12T12:00"}
    page = as_member.post(to(coop, "move", booking.pk), typed, follow=True)
    history = sections_of(page)["History"]
    assert "Booked for Wed 12 Aug, 9:00 to 12:00." in history
    assert "Moved from Wed 12 Aug, 9:00 to 12:00 to Wed 12 Aug, 10:00 to 12:00." in history
    assert "Ines Castell" in history


@pytest.mark.sqlite  # about the page alone
def test_a_long_name_and_markup_in_what_was_typed_do_no_harm(coop, as_member):
    thing = make_thing(coop, name="A" * 80)
    page = as_member.post(to(coop, "book"), form_of(thing, purpose="<b>" + "x" * 117), follow=True)
    assert page.status_code == 200
    assert "<b>xxx" not in page.content.decode()


# ---- who may not ----------------------------------------------------------------------------
ACTS = ("move", "end_now", "cancel")


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ACTS)
def test_another_household_reads_but_does_not_change_a_booking(
    coop, as_other_household_member, as_treasurer, canner, household, name
):
    booking = make_booking(canner, household, start=NOW - HOUR)
    typed = {"starts_at": "2026-08-12T10:00", "ends_at": "2026-08-12T12:00"}
    for client in (as_other_household_member, as_treasurer):
        assert client.post(to(coop, name, booking.pk), typed).status_code == 403
    booking.refresh_from_db()
    assert (booking.starts_at, booking.cancelled_at) == (NOW - HOUR, None)


@pytest.mark.parametrize("name", ["booking", *ACTS])
def test_a_booking_of_another_co_op_and_one_that_is_not_there_are_the_same_404(
    coop, other_coop, as_member, as_outsider, as_stranger, canner, name
):
    theirs = make_booking(make_thing(other_coop))
    ours = make_booking(canner, start=NOW - HOUR)
    ask = "get" if name == "booking" else "post"
    for key in (theirs.pk, 0, 10**12):
        assert getattr(as_member, ask)(to(coop, name, key)).status_code == 404
    for client in (as_outsider, as_stranger):
        assert getattr(client, ask)(to(coop, name, ours.pk)).status_code == 404


def test_a_thing_of_another_co_op_cannot_be_booked(coop, other_coop, as_member):
    response = as_member.post(to(coop, "book"), form_of(make_thing(other_coop)))
    assert response.status_code == 422


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["book", "bookings"])
def test_nobody_from_outside_gets_in(coop, as_outsider, as_stranger, signed_out, name):
    assert as_outsider.get(to(coop, name)).status_code == 404
    assert as_stranger.get(to(coop, name)).status_code == 404
    assert signed_out.get(to(coop, name)).status_code == 302


@pytest.mark.sqlite  # about the page alone
def test_reading_changes_nothing(coop, as_member, canner, household):
    booking = make_booking(canner, household, start=NOW - HOUR)
    for name in ("booking", "move", "cancel"):
        assert as_member.get(to(coop, name, booking.pk)).status_code == 200
    assert as_member.get(to(coop, "end_now", booking.pk)).status_code == 405
    assert Booking.objects.get() == booking
    assert not booking.told.exists()


# ---- changing -------------------------------------------------------------------------------
def test_a_booking_is_cancelled_alone_or_with_the_later_ones(coop, as_member, canner):
    as_member.post(to(coop, "book"), form_of(canner, last_on="2026-09-02"))
    first, second, *_ = Booking.objects.order_by("starts_at")
    as_member.post(to(coop, "cancel", first.pk), {"which": "this", "why": "Rain"})
    assert Booking.objects.filter(cancelled_at=None).count() == 3
    page = as_member.get(to(coop, "cancel", second.pk))
    assert "This one, and the 2 booked with it from then on" in text_of(page)
    page = as_member.post(to(coop, "cancel", second.pk), {"which": "later"}, follow=True)
    assert "3 bookings cancelled." in page.content.decode()
    assert not Booking.objects.filter(cancelled_at=None).exists()


@pytest.mark.sqlite  # about the page alone
def test_a_booking_that_is_out_is_not_cancelled(coop, as_member, canner, household):
    booking = make_booking(canner, household, start=NOW - HOUR)
    make_out(booking)
    response = as_member.post(to(coop, "cancel", booking.pk), {})
    assert response.status_code == 422
    assert "write down that it is back instead" in text_of(response)


@pytest.mark.sqlite  # about the page alone
def test_a_booking_that_has_begun_ends_at_a_word(coop, as_member, canner, household):
    booking = make_booking(canner, household, start=NOW - HOUR)
    as_member.post(to(coop, "end_now", booking.pk))
    booking.refresh_from_db()
    assert (booking.ends_at, booking.free_at) == (NOW, NOW + HOUR)


@pytest.mark.sqlite  # about the page alone
def test_times_to_move_to_are_shown_and_what_was_booked_with_it_goes_along(coop, as_member, canner):
    burner = make_thing(coop, "burner", name="Roarer")
    as_member.post(to(coop, "book"), form_of(canner, also=[burner.pk]))
    booking = Booking.objects.get(thing=canner)
    page = as_member.get(to(coop, "move", booking.pk))
    free = sections_of(page)["Next free for 3 h, all at once"]
    assert "Tue 11 Aug, 9:00 to 12:00" in free
    assert "Thu 13 Aug, 6:00 to 9:00" in free
    assert main_of(page).select_one("#id_with_others[checked]")
    chosen = next(a["href"] for a in main_of(page).select("a") if "Choose this time" in a.text)
    assert chosen.endswith("#form")
    # Once a time is chosen the form stands first.
    then = main_of(as_member.get(to(coop, "move", booking.pk) + chosen))
    assert then.select_one("#form ~ section #free")
    typed = {"starts_at": "2026-08-13T06:00", "ends_at": "2026-08-13T09:00", "with_others": "on"}
    as_member.post(to(coop, "move", booking.pk), typed)
    assert set(Booking.objects.values_list("starts_at", flat=True)) == {NOW + 45 * HOUR}


@pytest.mark.sqlite  # about the page alone
def test_it_goes_out_is_the_main_thing_to_do_only_about_its_time(
    coop, as_member, canner, household, other_household
):
    booking = make_booking(canner, household, start=NOW + HOUR)
    url = to(coop, "hand_out", booking.pk)

    def classes():
        link = main_of(as_member.get(to(coop, "booking", booking.pk))).select_one(f'[href="{url}"]')
        return link and link["class"]

    assert classes() == ["button"]
    Booking.objects.update(starts_at=NOW + HOUR / 2)
    assert classes() == ["button", "button-main"]
    fault = make_fault(canner)
    assert classes() is None
    fault.delete()
    # Another's time still runs, though it did not fetch it.
    before = make_booking(
        canner, other_household, start=NOW - HOUR, hours=1.25, turnaround_minutes=0
    )
    assert classes() is None
    before.delete()
    make_out(make_booking(canner, other_household, start=NOW - 3 * HOUR, hours=2))
    assert classes() is None


# ---- lists ----------------------------------------------------------------------------------
def test_the_list_has_ones_own_and_on_asking_everybodys(
    coop, as_member, canner, household, other_household
):
    make_booking(canner, household, purpose="Peaches")
    make_booking(canner, other_household, start=NOW + 3 * DAY, purpose="Corn")
    make_booking(canner, household, start=NOW - 3 * DAY, purpose="Plums")
    mine = text_of(as_member.get(to(coop, "bookings")))
    assert ("Peaches" in mine, "Corn" in mine, "Plums" in mine) == (True, False, False)
    assert "Corn" in text_of(as_member.get(to(coop, "bookings") + "?all=1"))
    assert "Plums" in text_of(as_member.get(to(coop, "bookings") + "?past=1"))


@pytest.mark.sqlite  # about the page alone
def test_the_list_marks_what_is_out_of_order(coop, as_member, canner, household):
    make_booking(canner, household)
    assert "out of order" not in text_of(as_member.get(to(coop, "bookings")))
    make_fault(canner)
    assert "out of order" in text_of(as_member.get(to(coop, "bookings")))


def test_what_is_out_and_late_stays_among_those_to_come(coop, as_member, canner, household):
    make_out(make_booking(canner, household, start=NOW - 5 * HOUR))
    assert "late" in text_of(as_member.get(to(coop, "bookings")))
    assert "Big Red" not in text_of(as_member.get(to(coop, "bookings") + "?past=1"))


@pytest.mark.sqlite  # about the page alone
def test_an_empty_list_says_how_to_begin(coop, as_member):
    assert "Nothing is booked" in text_of(as_member.get(to(coop, "bookings")))


def queries_of(client, url):
    with CaptureQueriesContext(
        connection,
    ) as caught:
        response = client.get(url)
    assert response.status_code == 200
    return len(caught.captured_queries), response


@pytest.mark.sqlite  # about the page alone
def test_three_hundred_bookings_take_no_more_queries_than_ten(coop, as_member, canner, household):
    for number in range(10):
        make_booking(canner, household, start=NOW + number * DAY)
    few, page = queries_of(as_member, to(coop, "bookings") + "?all=1")
    assert len(main_of(page).select(".row")) == 10
    for number in range(10, 300):
        make_booking(canner, household, start=NOW + number * DAY)
    many, page = queries_of(as_member, to(coop, "bookings") + "?all=1")
    assert len(main_of(page).select(".row")) == 25
    assert "Page 1 of 12" in text_of(page)
    assert many == few


@pytest.mark.sqlite  # about the page alone
def test_a_booking_with_a_whole_season_beside_it_takes_no_more_queries(
    coop, as_member, canner, household
):
    def page_of(together, weeks):
        bookings = [
            make_booking(canner, household, start=together + week * DAY, together=UUID(int=weeks))
            for week in range(weeks)
        ]
        return queries_of(as_member, to(coop, "booking", bookings[0].pk))

    few, page = page_of(NOW + 2 * DAY, 3)
    assert len(main_of(page).select("section[aria-labelledby=others] .row")) == 2
    many, page = page_of(NOW + 20 * DAY, 40)
    assert len(main_of(page).select("section[aria-labelledby=others] .row")) == 39
    assert many == few
