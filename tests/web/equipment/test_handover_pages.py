"""The pages at a thing: what to do now, out, back, and taking it as it stands there free."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from coop.equipment.models import Booking, CountedPart, Handover
from coop.equipment.queries.handovers import who_has_it
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import text_of

LONG = "A" + "n extraordinarily long name of a thing that goes on and on " * 2


def at(name, of):
    return reverse(f"equipment:{name}", args=[of.coop.slug, of.pk])


@pytest.fixture
def canner(coop):
    """A dial canner of the co-op, tested, with a gasket and a rack."""
    thing = rows.make_dial_canner(
        coop, name="Big canner", parts={"gasket": 1, "rack": 1}, home="Grange hall"
    )
    rows.make_gauge_test(thing)
    return thing


@pytest.fixture
def booking(canner, household):
    """The member's household has it from now, for three hours."""
    return rows.make_booking(canner, household, start=NOW)


OUT = {"condition": "good", "part-0": "1", "part-1": "1"}
BACK = OUT | {"bumped": "no", "uses": "2", "reading": "0"}


# ---- what to do now ---------------------------------------------------------------------------
def page(client, thing):
    answer = client.get(at("handover", thing))
    assert answer.status_code == 200
    text = answer.content.decode()
    assert text.count("button-main") <= 1
    return text_of(answer), text


@pytest.mark.sqlite  # about the page alone
def test_one_may_take_what_is_free(as_member, canner):
    words, text = page(as_member, canner)
    assert "Free now: take it" in words
    assert at("take_now", canner) in text


@pytest.mark.sqlite  # about the page alone
def test_one_takes_out_what_is_ones_own(as_member, booking):
    words, text = page(as_member, booking.thing)
    assert "It is yours: take it out" in words
    assert at("hand_out", booking) in text


@pytest.mark.sqlite  # about the page alone
def test_one_brings_back_what_one_has(as_member, booking):
    rows.make_out(booking)
    words, text = page(as_member, booking.thing)
    assert "You have it" in words
    assert at("hand_back", booking) in text


@pytest.mark.sqlite  # about the page alone
def test_others_read_who_has_it_and_call_them(as_other_household_member, booking):
    booking.household.phone = "555-0117"
    booking.household.save()
    rows.make_out(booking)
    words, text = page(as_other_household_member, booking.thing)
    assert "Castell has it Until today at 12:00" in words
    assert 'href="tel:555-0117"' in text
    assert at("hand_back", booking) not in text


@pytest.mark.sqlite  # about the page alone
def test_the_next_household_may_write_it_back_first(
    as_other_household_member, other_household, booking, clock
):
    rows.make_out(booking)
    rows.make_booking(booking.thing, other_household, start=NOW + 3 * HOUR)
    clock.shift(4 * HOUR)
    words, text = page(as_other_household_member, booking.thing)
    assert "It was due back today at 12:00" in words
    assert "Is it here with you? Write it back first" in words
    assert at("hand_back", booking) in text


@pytest.mark.sqlite  # about the page alone
def test_the_steward_hands_out_what_is_booked(sign_in, coop, booking):
    steward = make_member(make_household(coop), roles=["steward"])
    words, text = page(sign_in(steward), booking.thing)
    assert "It is for Castell" in words
    assert at("hand_out", booking) in text


@pytest.mark.sqlite  # about the page alone
def test_what_is_not_fit_stays(as_member, booking):
    rows.make_fault(booking.thing)
    words, text = page(as_member, booking.thing)
    assert "Out of order: leave it here" in words
    assert "The handle is loose." in words
    assert at("hand_out", booking) not in text


@pytest.mark.sqlite  # about the page alone
def test_who_keeps_it_can_write_down_that_it_is_mended(as_coordinator, booking):
    fault = rows.make_fault(booking.thing, stops="handover")
    words, text = page(as_coordinator, booking.thing)
    assert "To see to before anybody takes it" in words
    assert reverse("equipment:mend_fault", args=[booking.coop.slug, fault.pk]) in text


@pytest.mark.sqlite  # about the page alone
def test_ones_own_household_is_spoken_to(as_member, coop, household):
    evenings = [(day, 20 * 60, 24 * 60) for day in range(7)]  # not at 9:00, the time it is
    thing = rows.make_thing(coop, hours=evenings)
    rows.make_booking(thing, household, start=NOW + 36 * HOUR, hours=2)
    words, _ = page(as_member, thing)
    assert "It is yours from tomorrow" in words
    assert "Castell has it" not in words


@pytest.mark.sqlite  # about the page alone
def test_what_is_anothers_now_is_not_free(as_other_household_member, booking):
    words, text = page(as_other_household_member, booking.thing)
    assert "Not free now Booked for Castell" in words
    assert at("take_now", booking.thing) not in text


@pytest.mark.sqlite  # about the page alone
def test_a_thing_that_is_no_longer_lent_says_so(as_member, canner):
    canner.retired_at = NOW
    canner.save()
    assert "No longer lent" in page(as_member, canner)[0]


@pytest.mark.sqlite  # about the page alone
def test_an_untested_gauge_warns_with_its_source(as_member, coop):
    thing = rows.make_dial_canner(coop)
    words, text = page(as_member, thing)
    assert "data-gauge-warning" in text
    # USDA, Complete Guide to Home Canning (2015): tested before use each year.
    assert "tested before use each year" in words


@pytest.mark.sqlite  # about the page alone
def test_long_names_stay_whole(as_member, coop, household):
    thing = rows.make_thing(coop, name=LONG[:80], home="H" * 160)
    rows.make_booking(thing, household, start=NOW)
    assert LONG[:80].strip() in page(as_member, thing)[0]


@pytest.mark.sqlite  # about the page alone
def test_the_page_takes_the_same_queries_whatever_is_booked(
    as_member, booking, other_household, django_assert_max_num_queries
):
    for day in range(1, 15):
        rows.make_booking(booking.thing, other_household, start=NOW + timedelta(days=day))
    with django_assert_max_num_queries(20):
        page(as_member, booking.thing)


# ---- out and back -----------------------------------------------------------------------------
def test_it_goes_out_and_comes_back(as_member, booking):
    assert "It is out" in text_of(as_member.get(at("hand_out", booking)))
    answer = as_member.post(at("hand_out", booking), OUT)
    assert answer.headers["Location"] == at("handover", booking.thing)
    answer = as_member.post(at("hand_back", booking), BACK, follow=True)
    assert "Written down: it is back." in text_of(answer)
    back = Handover.objects.get(what="back")
    assert (back.uses, back.bumped, back.reading_tenths) == (2, False, 0)


def test_a_photo_is_kept_with_the_return(as_member, booking, tmp_path):
    from PIL import Image

    rows.make_out(booking)
    path = tmp_path / "lid.jpg"
    Image.new("RGB", (40, 30)).save(path)
    photo = SimpleUploadedFile("lid.jpg", path.read_bytes(), "image/jpeg")
    as_member.post(at("hand_back", booking), BACK | {"photo": photo})
    assert Handover.objects.get(what="back").photos.get().width == 40


@pytest.mark.sqlite  # about the page alone
def test_what_is_no_photo_is_refused_beside_the_field(as_member, booking):
    rows.make_out(booking)
    photo = SimpleUploadedFile("lid.jpg", b"no picture", "image/jpeg")
    answer = as_member.post(at("hand_back", booking), BACK | {"photo": photo})
    assert answer.status_code == 422
    assert answer.context["form"].errors["photo"]
    assert not Handover.objects.filter(what="back").exists()


@pytest.mark.sqlite  # about the page alone
def test_whether_it_was_bumped_must_be_said(as_member, booking):
    rows.make_out(booking)
    answer = as_member.post(
        at("hand_back", booking),
        {"condition": "worn", "uses": "3", "reading": "0.5", "note": "stiff lid"},
    )
    assert answer.status_code == 422
    assert "Say whether it was dropped or bumped." in text_of(answer)
    text = answer.content.decode()
    for typed in ('value="0.5"', 'value="3"', "stiff lid"):
        assert typed in text
    assert not Handover.objects.filter(what="back").exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("wrong", ["", "2.55", "no", "-1", "100000000000000000000"])
def test_a_dial_is_read_and_nothing_else_taken_for_it(as_member, booking, wrong):
    rows.make_out(booking)
    answer = as_member.post(at("hand_back", booking), BACK | {"reading": wrong})
    assert answer.status_code == 422
    assert answer.context["form"].errors["reading"]


@pytest.mark.sqlite  # about the page alone
def test_a_bumped_dial_need_not_be_read(as_member, booking):
    rows.make_out(booking)
    answer = as_member.post(at("hand_back", booking), BACK | {"reading": "", "bumped": "yes"})
    assert answer.status_code == 302


@pytest.mark.parametrize("field", ["part-0", "uses", "condition"])
@pytest.mark.parametrize("wrong", ["", "many", "-1", "1.5", "99999999999999999999"])
def test_numbers_typed_wrongly_are_refused(as_member, booking, field, wrong):
    rows.make_out(booking)
    CountedPart.objects.bulk_create(
        CountedPart(handover=booking.handovers.get(), name=name, expected=1, counted=1)
        for name in ("gasket", "rack")
    )
    answer = as_member.post(at("hand_back", booking), BACK | {field: wrong})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]


def test_sent_twice_it_counts_once(as_member, booking):
    for _ in range(2):
        assert as_member.post(at("hand_out", booking), OUT).status_code == 302
    for _ in range(2):
        assert as_member.post(at("hand_back", booking), BACK).status_code == 302
    assert Handover.objects.count() == 2


@pytest.mark.sqlite  # about the page alone
def test_a_thing_without_parts_or_reading_asks_for_neither(as_member, coop, household):
    booking = rows.make_booking(
        rows.make_thing(coop, "pressure_canner", gauge="weighted"), household, start=NOW
    )
    rows.make_out(booking)
    words = text_of(as_member.get(at("hand_back", booking)))
    assert "Count the parts" not in words
    assert "dial" not in words


def test_what_is_still_out_answers_with_what_to_do(
    as_other_household_member, other_household, booking, clock
):
    rows.make_out(booking)
    theirs = rows.make_booking(booking.thing, other_household, start=NOW + 3 * HOUR)
    clock.shift(3 * HOUR)
    answer = as_other_household_member.get(at("hand_out", theirs))
    assert answer.status_code == 409
    assert "write down first that it is back" in text_of(answer)
    # It is the page of the thing, with a way on: the next household writes it back.
    assert at("hand_back", booking) in answer.content.decode()


# ---- who may ------------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["hand_out", "hand_back"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_another_household_may_not(name, method, as_other_household_member, booking):
    if name == "hand_back":
        rows.make_out(booking)
    assert getattr(as_other_household_member, method)(at(name, booking)).status_code == 403


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["hand_out", "hand_back", "deposit"])
def test_bookings_of_another_co_op_are_not_there(name, as_member, other_coop):
    foreign = rows.make_booking(rows.make_thing(other_coop))
    address = reverse(f"equipment:{name}", args=["cottonwood", foreign.pk])
    assert as_member.get(address).status_code == 404
    assert as_member.post(address).status_code == 404


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("who", ["as_outsider", "as_stranger"])
@pytest.mark.parametrize("name", ["handover", "take_now"])
def test_others_see_nothing_of_a_thing(who, name, request, canner):
    assert request.getfixturevalue(who).get(at(name, canner)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_get_changes_nothing(as_member, booking):
    as_member.get(at("hand_out", booking))
    rows.make_out(booking)
    as_member.get(at("hand_back", booking))
    assert Handover.objects.count() == 1


# ---- taken as it stands there -------------------------------------------------------------------
TAKE = OUT | {"ends_at": "2026-08-11T11:30", "purpose": "beans"}


def test_a_walk_up_books_and_takes_in_one_act(as_member, canner, household):
    assert "Take it" in text_of(as_member.get(at("take_now", canner)))
    answer = as_member.post(at("take_now", canner), TAKE)
    assert answer.headers["Location"] == at("handover", canner)
    booking = who_has_it(canner)
    assert (booking.household, booking.starts_at) == (household, NOW)
    assert booking.ends_at == NOW + timedelta(hours=2, minutes=30)


def test_a_walk_up_sent_twice_is_one_booking(as_member, canner):
    for _ in range(2):
        assert as_member.post(at("take_now", canner), TAKE).status_code == 302
    assert Booking.objects.count() == 1


def test_a_walk_up_that_cannot_go_out_books_nothing(as_member, canner):
    rows.make_fault(canner, stops="handover")
    answer = as_member.post(at("take_now", canner), TAKE | {"note": "for today"})
    assert answer.status_code == 422
    assert "The handle is loose." in text_of(answer)
    assert "for today" in answer.content.decode()
    assert not Booking.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("until", ["", "soon", "2026-08-11T08:00", "2027-12-24T10:00"])
def test_a_walk_up_says_until_when(as_member, canner, until):
    answer = as_member.post(at("take_now", canner), TAKE | {"ends_at": until})
    assert answer.status_code == 422
    assert answer.context["form"].errors["ends_at"]
    assert not Booking.objects.exists()


def test_a_walk_up_into_anothers_time_is_refused_with_whose_it_is(
    as_member, canner, other_household
):
    rows.make_booking(canner, other_household, start=NOW + HOUR)
    answer = as_member.post(at("take_now", canner), TAKE)
    assert answer.status_code == 409
    assert "Dufresne" in text_of(answer)
    assert Booking.objects.count() == 1


@pytest.mark.sqlite  # about the page alone
def test_a_walk_up_is_proposed_until_the_next_booking(as_member, canner, other_household):
    rows.make_booking(canner, other_household, start=NOW + 2 * HOUR)
    form = as_member.get(at("take_now", canner)).context["form"]
    assert form["ends_at"].value() == "2026-08-11T11:00"


@pytest.mark.sqlite  # about the page alone
def test_the_steward_takes_it_for_another_household(sign_in, coop, canner, household):
    steward = make_member(make_household(coop), roles=["steward"])
    sign_in(steward).post(at("take_now", canner), TAKE | {"household": household.pk})
    assert who_has_it(canner).household == household


@pytest.mark.sqlite  # about the page alone
def test_a_member_takes_it_for_its_own_alone(as_member, canner, household, other_household):
    as_member.post(at("take_now", canner), TAKE | {"household": other_household.pk})
    assert who_has_it(canner).household == household
