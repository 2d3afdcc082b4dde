"""The form of a booking: what it is filled in with, what it refuses, and what is taken."""

from datetime import timedelta

import pytest
from django.urls import reverse

from coop.equipment.kinds import ThingKind
from coop.equipment.models import Booking
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_dial_canner,
    make_fault,
    make_thing,
)
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import main_of, sections_of, text_of

DAY = timedelta(days=1)


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Red", turnaround_minutes=60)


@pytest.fixture
def steward(coop):
    return make_member(make_household(coop, "Fenn"), "Hattie Fenn", roles=["steward"])


def to(coop, name, *keys):
    return reverse(f"equipment:{name}", args=[coop.slug, *keys])


def form_of(canner, /, **changes):
    """What the form sends for tomorrow, 9:00 to 12:00 in Denver."""
    typed = {"thing": canner.pk, "starts_at": "2026-08-12T09:00", "ends_at": "2026-08-12T12:00"}
    return typed | changes


def first_link(response, words):
    [link, *_] = [a for a in main_of(response).select("a") if words in a.get_text()]
    return link["href"]


# ---- the form -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_member_books_a_thing_for_its_own_household(coop, as_member, member, canner):
    response = as_member.post(to(coop, "book"), form_of(canner, purpose="Peaches"))
    booking = Booking.objects.get()
    assert response.url == to(coop, "booking", booking.pk)
    assert (booking.household, booking.by, booking.purpose) == (member.household, member, "Peaches")
    # 9:00 in Denver is 15:00 UTC in August.
    assert booking.starts_at == NOW + DAY
    assert booking.free_at == NOW + DAY + 4 * HOUR


@pytest.mark.sqlite  # about the page alone
def test_the_form_is_filled_in_as_its_address_asks(coop, as_member, canner):
    address = f"{to(coop, 'book')}?thing={canner.pk}&start=2026-08-12T09:00&end=2026-08-12T18:00Z"
    form = main_of(as_member.get(address + "&purpose=Corn"))
    assert form.select_one("#id_thing option[selected]")["value"] == str(canner.pk)
    assert form.select_one("#id_starts_at")["value"] == "2026-08-12T09:00"
    assert form.select_one("#id_ends_at")["value"] == "2026-08-12T12:00"
    assert form.select_one("#id_purpose")["value"] == "Corn"


@pytest.mark.sqlite  # about the page alone
def test_looking_again_reckons_for_what_was_typed_and_keeps_it(coop, as_member, canner):
    blue = make_thing(coop, name="Big Blue", fee_cents=300)
    typed = form_of(blue, purpose="Corn", also=[canner.pk], last_on="2026-09-02", look="1")
    page = as_member.post(to(coop, "book"), typed, follow=True)
    assert not Booking.objects.exists()
    form, text = main_of(page), text_of(page)
    assert "are for Big Blue, Big Red, Wed 12 Aug, 9:00 to 12:00" in text
    assert "$3.00 for the use" in text
    kept = {name: form.select_one(f"#id_{name}")["value"] for name in ("purpose", "last_on")}
    assert kept == {"purpose": "Corn", "last_on": "2026-09-02"}
    assert form.select_one("#id_also input[checked]")["value"] == str(canner.pk)


@pytest.mark.sqlite  # about the page alone
def test_without_an_end_the_form_proposes_one(coop, as_member):
    dryer = make_thing(coop, ThingKind.FREEZE_DRYER)
    form = main_of(as_member.get(f"{to(coop, 'book')}?thing={dryer.pk}&start=2026-08-12T09:00"))
    # 40 hours at the latest: CYCLE_LATEST_HOURS.
    assert form.select_one("#id_ends_at")["value"] == "2026-08-14T01:00"
    assert form.select_one("#id_expected_at") is not None


@pytest.mark.parametrize(
    "query",
    ["thing=x&start=never&end=", "thing=99999999999999999999", "start=2026-02-30T09:00", "last=x",
     "household=x", "thing=²", "about=%00", "start=0001-01-01T00:00&thing=1"],
)  # fmt: skip
def test_an_address_that_asks_for_nonsense_opens_the_form(coop, as_member, query):
    assert as_member.get(f"{to(coop, 'book')}?{query}").status_code == 200


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"thing": ""}, "Choose what to book."),
        ({"thing": "0"}, "Choose one of the things that are lent."),
        ({"also": ["99"]}, "Choose from the things that are lent."),
        ({"starts_at": ""}, "Say the day and the time."),
        ({"starts_at": "noon"}, "Write a day and a time"),
        ({"ends_at": "2026-08-12T09:00"}, "It ends before it starts."),
        ({"starts_at": "2026-08-11T08:00"}, "That time has passed."),
        ({"starts_at": "2028-08-12T09:00", "ends_at": "2028-08-12T10:00"}, "over a year away"),
        ({"ends_at": "2026-10-12T09:00"}, "is lent for 31 days at the most"),
        ({"last_on": "next year"}, "Write a day, like"),
        ({"last_on": "2026-08-13"}, "The last day must be 1 to 52 weeks after the first."),
        ({"last_on": "2027-08-18"}, "The last day must be 1 to 52 weeks after the first."),
        ({"purpose": "x" * 121}, "at most 120 characters"),
        ({"about": "farm:1"}, "Enter a valid value"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_kept(coop, as_member, canner, changes, sentence):
    typed = form_of(canner, **({"purpose": "Peaches and cream"} | changes))
    response = as_member.post(to(coop, "book"), typed)
    assert response.status_code == 422
    assert sentence in text_of(response)
    purpose = main_of(response).select_one("#id_purpose")["value"]
    assert purpose == typed["purpose"]
    assert not Booking.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_thing_out_of_order_is_not_booked(coop, as_member, canner):
    make_fault(canner, sentence="The lid leaks.")
    assert "Big Red (out of order)" in text_of(as_member.get(to(coop, "book")))
    response = as_member.post(to(coop, "book"), form_of(canner))
    assert response.status_code == 422
    assert "Big Red is out of order: The lid leaks." in text_of(response)


@pytest.mark.sqlite  # about the page alone
def test_a_canner_whose_gauge_was_not_tested_warns_on_the_form_and_the_booking(coop, as_member):
    canner = make_dial_canner(coop)
    form = as_member.get(f"{to(coop, 'book')}?thing={canner.pk}")
    assert main_of(form).select_one("[data-gauge-warning]")
    page = as_member.post(to(coop, "book"), form_of(canner), follow=True)
    assert main_of(page).select_one("[data-gauge-warning]")


def test_the_same_form_sent_twice_books_once(coop, as_member, canner):
    answers = [as_member.post(to(coop, "book"), form_of(canner)) for _ in range(2)]
    assert answers[0].url == answers[1].url
    assert Booking.objects.count() == 1


@pytest.mark.sqlite  # about the page alone
def test_two_things_at_once_are_shown_on_each_others_page(coop, as_member, canner):
    burner = make_thing(coop, ThingKind.BURNER, name="Roarer")
    page = as_member.post(to(coop, "book"), form_of(canner, also=[burner.pk]), follow=True)
    assert Booking.objects.count() == 2
    assert "Roarer" in sections_of(page)["Booked with it"]


@pytest.mark.sqlite  # about the page alone
def test_what_is_offered_beside_it_is_in_order_and_says_whether_it_is_free_then(
    coop, as_member, canner, other_household
):
    make_fault(make_thing(coop, name="Bent"))
    make_thing(coop, ThingKind.BURNER, name="Roarer")
    make_booking(make_thing(coop, name="Big Blue"), other_household, start=NOW + DAY)
    address = f"{to(coop, 'book')}?thing={canner.pk}&start=2026-08-12T11:00&end=2026-08-12T13:00"
    offered = main_of(as_member.get(address)).select("#id_also .choice")
    assert [each.get_text(strip=True) for each in offered] == [
        "Roarer (free then)",
        "Big Blue (not free then)",
    ]


# ---- what it costs --------------------------------------------------------------------------
@pytest.fixture
def dear(coop):
    return make_thing(coop, name="Dear", fee_cents=250, fee_per="hour", deposit_cents=2000)


@pytest.mark.sqlite  # about the page alone
def test_the_cost_of_the_time_is_said_before_it_is_booked_and_after(coop, as_member, dear):
    address = f"{to(coop, 'book')}?thing={dear.pk}&start=2026-08-12T09:00&end=2026-08-12T12:00"
    # Three hours at 2.50.
    costs = "$7.50 for this time, at $2.50 for each hour begun"
    for form in (
        as_member.get(address),
        as_member.post(to(coop, "book"), form_of(dear, purpose="x" * 121)),
    ):
        assert costs in text_of(form)
        assert "$20.00 deposit" in text_of(form)
    page = sections_of(as_member.post(to(coop, "book"), form_of(dear), follow=True))
    assert costs in page["When and who"]
    assert "$20.00 deposit" in page["When and who"]


@pytest.mark.sqlite  # about the page alone
def test_the_page_follows_what_is_chosen_in_the_form(coop, as_member, canner, dear):
    address = f"{to(coop, 'book')}?thing={canner.pk}"
    assert main_of(as_member.get(address)).h1.get_text(strip=True) == "Book"
    again = as_member.post(address, form_of(dear, starts_at=""))
    assert [each for each in sections_of(again) if each.startswith("About")] == ["About Dear"]


# ---- for whom -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_coordinator_and_a_steward_book_for_another_household(
    coop, as_coordinator, sign_in, steward, household, canner
):
    for client, start in ((as_coordinator, "2026-08-13"), (sign_in(steward), "2026-08-14")):
        typed = form_of(
            canner,
            household=household.pk,
            starts_at=f"{start}T09:00",
            ends_at=f"{start}T10:00",
        )
        assert client.post(to(coop, "book"), typed).status_code == 302
    assert set(Booking.objects.values_list("household", flat=True)) == {household.pk}
    assert household.told.count() == 2


@pytest.mark.sqlite  # about the page alone
def test_a_plain_member_cannot_name_another_household(
    coop, as_member, member, other_household, canner
):
    as_member.post(to(coop, "book"), form_of(canner, household=other_household.pk))
    assert Booking.objects.get().household == member.household


@pytest.mark.sqlite  # about the page alone
def test_a_coordinator_cannot_book_for_a_household_of_another_co_op(
    coop, as_coordinator, outsider, canner
):
    typed = form_of(canner, household=outsider.household_id)
    assert as_coordinator.post(to(coop, "book"), typed).status_code == 422


# ---- taken ----------------------------------------------------------------------------------
def test_who_comes_second_is_shown_the_next_free_times_with_everything_typed_kept(
    coop, as_member, canner, other_household
):
    make_booking(canner, other_household, start=NOW + DAY)
    response = as_member.post(
        to(coop, "book"), form_of(canner, purpose="Peaches & plums", about="buy:7")
    )
    assert response.status_code == 409
    assert "Big Red is taken: Dufresne has it Wed 12 Aug, 9:00 to 12:00" in text_of(response)
    # Three hours and the hour that it cools: free from 13:00.
    form = main_of(as_member.get(first_link(response, "Choose this time")))
    assert form.select_one("#id_starts_at")["value"] == "2026-08-12T13:00"
    assert form.select_one("#id_ends_at")["value"] == "2026-08-12T16:00"
    assert form.select_one("#id_purpose")["value"] == "Peaches & plums"
    assert form.select_one("#id_about")["value"] == "buy:7"


@pytest.mark.sqlite  # about the page alone
@pytest.mark.sqlite  # about the page alone
def test_who_stands_by_instead_does_so_for_the_time_that_was_typed(
    coop, as_member, canner, other_household
):
    make_booking(canner, other_household, start=NOW + DAY)
    response = as_member.post(to(coop, "book"), form_of(canner, purpose="Peaches"))
    form = main_of(as_member.get(first_link(response, "Stand by")))
    assert form.select_one("#id_from_at")["value"] == "2026-08-12T09:00"
    assert form.select_one("#id_until_at")["value"] == "2026-08-12T12:00"
    assert form.select_one("#id_minutes option[selected]")["value"] == "180"
    assert form.select_one("#id_purpose")["value"] == "Peaches"


def test_the_form_as_typed_is_one_link_away_when_it_was_taken(
    coop, as_coordinator, canner, household, other_household
):
    burner = make_thing(coop, ThingKind.BURNER)
    make_booking(canner, other_household, start=NOW + DAY)
    typed = form_of(canner, also=[burner.pk], household=household.pk)
    response = as_coordinator.post(to(coop, "book"), typed)
    assert response.status_code == 409
    assert not Booking.objects.filter(thing=burner).exists()
    form = main_of(as_coordinator.get(first_link(response, "Change what you typed")))
    assert form.select_one("#id_starts_at")["value"] == "2026-08-12T09:00"
    assert [box["value"] for box in form.select("[name=also][checked]")] == [str(burner.pk)]
    assert form.select_one("#id_household option[selected]")["value"] == str(household.pk)


@pytest.mark.sqlite  # about the page alone
def test_times_of_several_things_are_those_in_which_all_are_free(
    coop, as_member, canner, other_household
):
    burner = make_thing(coop, ThingKind.BURNER)
    make_booking(canner, other_household, start=NOW + DAY)  # and cools until 13:00
    make_booking(burner, other_household, start=NOW + DAY + 5 * HOUR, hours=2)  # 14:00 to 16:00
    response = as_member.post(to(coop, "book"), form_of(canner, also=[burner.pk]))
    form = main_of(as_member.get(first_link(response, "Choose this time")))
    assert form.select_one("#id_starts_at")["value"] == "2026-08-12T16:00"


def test_a_move_onto_another_booking_offers_times_to_move_to(
    coop, as_member, household, canner, other_household
):
    mine = make_booking(canner, household, start=NOW + 5 * DAY)
    make_booking(canner, other_household, start=NOW + DAY)
    typed = {"starts_at": "2026-08-12T09:00", "ends_at": "2026-08-12T12:00"}
    response = as_member.post(to(coop, "move", mine.pk), typed)
    assert response.status_code == 409
    link = first_link(response, "Choose this time")
    assert link.startswith(to(coop, "move", mine.pk))
    assert "2026-08-12T13:00" in str(main_of(as_member.get(link)))


# ---- weekly ---------------------------------------------------------------------------------
def test_weeks_that_could_not_be_had_are_named_with_why(coop, as_member, canner, other_household):
    make_booking(canner, other_household, start=NOW + 8 * DAY)
    typed = form_of(canner, last_on="2026-08-26")
    page = as_member.post(to(coop, "book"), typed, follow=True)
    assert "2 bookings made. 1 week could not be had" in page.content.decode()
    missed = sections_of(page)["Weeks that could not be had"]
    assert "Not booked for Wed 19 Aug, 9:00. Big Red is taken: Dufresne has it" in missed
    assert "Wed 26 Aug" in sections_of(page)["Booked with it"]
