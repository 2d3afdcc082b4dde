"""Anybody says what is wrong with a thing; who keeps it says how it was mended; others are told."""

from datetime import timedelta

import pytest

from coop.equipment.actions.fitness import Report, mend, report_fault
from coop.equipment.errors import NotAllowed, Refused, TooLate
from coop.equipment.models import Fault, Told
from coop.people.changes import changes_of
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import text_of

HANDLE = Report("damaged", "The handle is loose.")
OUT, SEE_TO = Fault.Stops.BOOKINGS, Fault.Stops.HANDOVER


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop, "Gable"), "Hattie Gable", roles=["steward"])


@pytest.fixture
def canner(coop):
    """A canner of the co-op with a dial gauge."""
    return rows.make_dial_canner(coop, name="Big canner")


@pytest.fixture
def lent(other_household):
    """A dryer of another household."""
    return rows.make_thing(kind="dehydrator", owner=other_household, name="Dryer")


def told(household, what=Told.What.OUT_OF_ORDER):
    return list(Told.objects.filter(household=household, what=what))


# ---- Said by anybody ------------------------------------------------------------------------
def test_what_a_member_finds_is_seen_to_before_the_next_handover(canner, member):
    fault = report_fault(canner.pk, HANDLE, by=member)
    assert (fault.stops, fault.sentence, fault.by) == (SEE_TO, "The handle is loose.", member)
    assert "To see to: The handle is loose." in [
        change.sentence for change in changes_of(canner.coop, canner)
    ]


def test_where_somebody_could_be_hurt_it_is_out_of_order_at_once(canner, member):
    report = Report("damaged", "The lid lifts under pressure.", could_hurt=True)
    assert report_fault(canner.pk, report, by=member).stops == OUT


@pytest.mark.parametrize("stops", (OUT, SEE_TO))
def test_who_keeps_it_chooses_what_that_stops(lent, other_household_member, stops):
    report = Report("damaged", "A tray is bent.", stops=stops)
    assert report_fault(lent.pk, report, by=other_household_member).stops == stops


def test_a_plain_member_does_not_choose(canner, member):
    report = Report("damaged", "A scratch.", stops=OUT)
    assert report_fault(canner.pk, report, by=member).stops == SEE_TO


@pytest.mark.parametrize("what", ("bumped", "gauge_off"))
def test_a_dial_gauge_that_was_bumped_or_is_off_is_unfit_until_tested(canner, steward, what):
    # Tested whenever dropped or bumped: Oregon State Univ. Extension 2020 (trade notes, 81 to 83).
    report = Report(what, "It fell off the bench.", stops=SEE_TO)
    assert report_fault(canner.pk, report, by=steward).stops == OUT


def test_a_weighted_gauge_that_was_bumped_is_only_seen_to(coop, member):
    weighted = rows.make_thing(coop, gauge="weighted")
    assert report_fault(weighted.pk, Report("bumped", "It fell."), by=member).stops == SEE_TO


def test_it_is_said_in_a_sentence(canner, member):
    with pytest.raises(Refused, match="in a sentence") as refusal:
        report_fault(canner.pk, Report("damaged", "  "), by=member)
    assert refusal.value.field == "sentence"


def test_what_is_no_longer_shared_has_no_faults(canner, member):
    canner.retired_at = NOW
    canner.save()
    with pytest.raises(TooLate, match="no longer shared"):
        report_fault(canner.pk, HANDLE, by=member)


def test_the_same_said_twice_stands_once(canner, member):
    first = report_fault(canner.pk, HANDLE, by=member)
    assert report_fault(canner.pk, HANDLE, by=member) == first
    assert Fault.objects.count() == 1


# ---- Who is told ----------------------------------------------------------------------------
def test_each_household_with_a_coming_booking_is_told_once(
    canner, steward, household, other_household
):
    first = rows.make_booking(canner, household)
    rows.make_booking(canner, household, start=NOW + 72 * HOUR)
    rows.make_booking(canner, other_household, start=NOW + 48 * HOUR)
    report_fault(canner.pk, Report("damaged", "The vent is blocked.", stops=OUT), by=steward)
    (row,) = told(household)
    assert row.booking == first
    # Nine in the morning in Denver, a day on, for three hours.
    assert row.sentence == (
        "Big canner is out of order: The vent is blocked. You have booked it, Wed 12 Aug, 9:00 to "
        "12:00, and 1 more. Move it to another time, book another thing, or cancel it."
    )
    assert len(told(other_household)) == 1


def test_nobody_is_told_of_what_does_not_stop_bookings(canner, member, household):
    rows.make_booking(canner, household)
    report_fault(canner.pk, HANDLE, by=member)
    assert not Told.objects.exists()


def test_bookings_that_are_over_back_or_cancelled_are_not_told(
    canner, steward, coop, household, other_household
):
    rows.make_booking(canner, household, start=NOW - 10 * HOUR)
    back = rows.make_booking(canner, other_household, start=NOW - 2 * HOUR)
    rows.make_out(back)
    rows.make_back(back, at=NOW - HOUR)
    cancelled = rows.make_booking(canner, make_household(coop), start=NOW + 5 * HOUR)
    cancelled.cancelled_at = NOW
    cancelled.save()
    report_fault(canner.pk, Report("damaged", "Cracked.", stops=OUT), by=steward)
    assert not Told.objects.exists()


def test_who_has_it_now_is_told_to_stop_even_when_it_is_late(canner, steward, household):
    booking = rows.make_booking(canner, household, start=NOW - 10 * HOUR)
    rows.make_out(booking)
    report_fault(canner.pk, Report("damaged", "Recalled.", stops=OUT), by=steward)
    assert "Stop using it, and bring it back." in told(household)[0].sentence


def test_a_time_offered_to_who_is_in_line_is_told_as_that(canner, steward, household):
    standby = rows.make_standby(canner, household)
    rows.make_booking(canner, household, standby=standby, held_until=NOW + HOUR)
    report_fault(canner.pk, Report("damaged", "Cracked.", stops=OUT), by=steward)
    assert "A time is offered to you, Wed 12 Aug" in told(household)[0].sentence


def test_a_second_fault_does_not_tell_them_again(canner, steward, household):
    rows.make_booking(canner, household)
    report_fault(canner.pk, Report("damaged", "Cracked.", stops=OUT), by=steward)
    report_fault(canner.pk, Report("damaged", "Bent, too.", stops=OUT), by=steward)
    assert len(told(household)) == 1


def test_a_long_name_and_reason_leave_room_for_what_can_be_done(canner, steward, household):
    canner.name = "N" * 80
    canner.save()
    rows.make_booking(canner, household)
    report_fault(canner.pk, Report("damaged", "R" * 300, stops=OUT), by=steward)
    sentence = told(household)[0].sentence
    assert len(sentence) <= 400
    assert "RR…" in sentence
    assert sentence.endswith("Move it to another time, book another thing, or cancel it.")


# ---- Mended ---------------------------------------------------------------------------------
def test_mended_says_how_and_by_whom(lent, other_household_member):
    fault = rows.make_fault(lent, stops=SEE_TO)
    mend(fault.pk, "New screw.", by=other_household_member)
    fault.refresh_from_db()
    assert (fault.mended_how, fault.mended_by) == ("New screw.", other_household_member)


def test_mending_is_for_its_keepers(lent, member, steward, coordinator):
    fault = rows.make_fault(lent)
    with pytest.raises(NotAllowed, match="whose it is"):
        mend(fault.pk, "New screw.", by=member)
    mend(fault.pk, "New screw.", by=steward)
    mend(rows.make_fault(lent).pk, "Again.", by=coordinator)


def test_it_is_mended_once(canner, steward, coordinator):
    fault = rows.make_fault(canner)
    mend(fault.pk, "New screw.", by=steward)
    with pytest.raises(TooLate, match=r"Hattie Gable wrote that down already: New screw\."):
        mend(fault.pk, "Glue.", by=coordinator)


def test_mended_without_a_word_how_is_refused(canner, steward):
    with pytest.raises(Refused, match="how it was mended") as refusal:
        mend(rows.make_fault(canner).pk, " ", by=steward)
    assert refusal.value.field == "how"


@pytest.mark.parametrize("what", ("bumped", "gauge_off"))
def test_words_alone_do_not_make_a_dial_fit(canner, steward, what):
    fault = rows.make_fault(canner, what=what)
    with pytest.raises(Refused, match="Only a gauge test"):
        mend(fault.pk, "Looks fine.", by=steward)
    fault.refresh_from_db()
    assert fault.mended_at is None


def test_what_was_bumped_and_has_no_dial_is_mended_by_words(lent, steward):
    mend(rows.make_fault(lent, what="bumped").pk, "Looked over.", by=steward)


@pytest.mark.parametrize("what", ("part_missing", "not_clean"))
def test_what_is_missing_or_not_clean_may_be_let_go_with_a_reason(canner, steward, what):
    fault = rows.make_fault(canner, stops=SEE_TO, what=what)
    with pytest.raises(Refused, match="why it can be used"):
        mend(fault.pk, "", by=steward, let_go=True)
    mend(fault.pk, "The second rack is not needed.", by=steward, let_go=True)
    fault.refresh_from_db()
    assert fault.mended_how == "let go as it is: The second rack is not needed."


def test_damage_is_not_let_go(canner, steward):
    with pytest.raises(Refused, match="cannot be let go"):
        mend(rows.make_fault(canner).pk, "It will hold.", by=steward, let_go=True)


def test_in_order_again_is_told_with_the_last_fault_that_stopped_it(canner, steward, household):
    booking = rows.make_booking(canner, household)
    report_fault(canner.pk, Report("damaged", "Cracked.", stops=OUT), by=steward)
    report_fault(canner.pk, Report("damaged", "Bent.", stops=OUT), by=steward)
    first, second = Fault.objects.order_by("id")
    mend(first.pk, "Welded.", by=steward)
    assert not told(household, Told.What.IN_ORDER)
    mend(second.pk, "Straight.", by=steward)
    (row,) = told(household, Told.What.IN_ORDER)
    assert row.booking == booking
    assert row.sentence.startswith("Big canner is in order again. You have booked it, Wed 12 Aug")
    # What is no news any more need not be read.
    assert told(household)[0].read_at == NOW


def test_what_was_only_to_see_to_tells_nobody_when_mended(canner, steward, household):
    rows.make_booking(canner, household)
    mend(rows.make_fault(canner, stops=SEE_TO).pk, "Washed.", by=steward)
    assert not Told.objects.exists()


def test_a_thing_in_order_again_is_offered_to_the_first_in_line(canner, steward, household):
    rows.make_standby(canner, household)
    fault = rows.make_fault(canner)
    assert not told(household, Told.What.OFFERED)
    mend(fault.pk, "Welded.", by=steward)
    assert len(told(household, Told.What.OFFERED)) == 1


# ---- The pages ------------------------------------------------------------------------------
def fault_url(thing):
    return f"/{thing.coop.slug}/equipment/things/{thing.pk}/faults/new/"


def mend_url(fault):
    return f"/{fault.thing.coop.slug}/equipment/faults/{fault.pk}/mend/"


def test_a_member_says_it_on_the_page(as_member, canner):
    page = as_member.get(fault_url(canner))
    assert "Someone could be hurt" in text_of(page)
    assert "What does that stop?" not in text_of(page)
    typed = {"what": "damaged", "sentence": "Loose.", "could_hurt": "on"}
    answer = as_member.post(fault_url(canner), typed)
    assert answer.status_code == 302
    assert canner.faults.get().stops == OUT


@pytest.mark.sqlite  # about the page alone
def test_a_keeper_is_asked_what_that_stops(as_coordinator, canner):
    typed = {"what": "damaged", "sentence": "Loose."}
    answer = as_coordinator.post(fault_url(canner), typed)
    assert answer.status_code == 422
    assert "Say what that stops." in text_of(answer)
    assert as_coordinator.post(fault_url(canner), typed | {"stops": OUT}).status_code == 302


@pytest.mark.sqlite  # about the page alone
def test_a_refused_form_keeps_what_was_typed(as_member, canner):
    answer = as_member.post(fault_url(canner), {"what": "no such", "sentence": "x" * 301})
    assert answer.status_code == 422
    assert "x" * 301 in answer.content.decode()
    assert not Fault.objects.exists()


def test_only_what_has_a_gauge_may_have_it_off(as_member, lent, canner):
    assert "The gauge is off" not in text_of(as_member.get(fault_url(lent)))
    assert "The gauge is off" in text_of(as_member.get(fault_url(canner)))
    typed = {"what": "gauge_off", "sentence": "Off."}
    assert as_member.post(fault_url(lent), typed).status_code == 422


@pytest.mark.sqlite  # about the page alone
def test_another_coops_things_and_faults_are_not_there(as_outsider, as_member, canner):
    other = rows.make_fault(rows.make_thing())
    assert as_member.get(fault_url(other.thing)).status_code == 404
    fault = rows.make_fault(canner)
    own = f"/sagebrush/equipment/faults/{fault.pk}/mend/"
    assert as_outsider.get(own).status_code == 404
    assert as_outsider.post(own, {"how": "Glue."}).status_code == 404
    assert as_outsider.get(mend_url(fault)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_mending_on_the_page_is_for_keepers(as_member, as_coordinator, canner):
    fault = rows.make_fault(canner)
    for answer in (as_member.get(mend_url(fault)), as_member.post(mend_url(fault), {"how": "No"})):
        assert answer.status_code == 403
    assert as_coordinator.get(mend_url(fault)).status_code == 200
    assert as_coordinator.post(mend_url(fault), {"how": ""}).status_code == 422
    assert as_coordinator.post(mend_url(fault), {"how": "Welded."}).status_code == 302
    assert "Welded." in text_of(as_coordinator.get(mend_url(fault)))
    assert as_coordinator.post(mend_url(fault), {"how": "Again."}).status_code == 409


def test_a_part_that_is_missing_is_let_go_on_the_page(as_coordinator, canner):
    fault = rows.make_fault(canner, what="part_missing", stops=SEE_TO)
    typed = {"way": "let_go", "how": "h" * 280}
    assert as_coordinator.post(mend_url(fault), typed).status_code == 302
    fault.refresh_from_db()
    assert fault.mended_how == "let go as it is: " + "h" * 280


@pytest.mark.sqlite  # about the page alone
def test_a_missing_part_is_found_or_there_anew_rather_than_mended(as_coordinator, canner):
    fault = rows.make_fault(canner, what="part_missing", stops=SEE_TO)
    page = text_of(as_coordinator.get(mend_url(fault)))
    for said in ("What was done?", "It is found, or a new one is there", "Let it go as it is"):
        assert said in page


@pytest.mark.sqlite  # about the page alone
def test_the_page_of_a_bumped_dial_leads_to_its_gauge_test(as_coordinator, canner):
    fault = rows.make_fault(canner, what="bumped")
    page = as_coordinator.get(mend_url(fault))
    assert f"things/{canner.pk}/gauge/" in page.content.decode()
    assert as_coordinator.post(mend_url(fault), {"how": "Fine."}).status_code == 422


@pytest.mark.sqlite  # about the page alone
def test_who_is_not_signed_in_is_sent_to_sign_in(signed_out, as_stranger, canner):
    assert "/account/login/" in signed_out.get(fault_url(canner)).headers["Location"]
    assert as_stranger.get(fault_url(canner)).status_code == 404


def test_in_the_evening_of_a_long_summer_day_the_booking_is_said_by_the_clocks(
    canner, steward, household
):
    rows.make_booking(canner, household, start=NOW + timedelta(hours=12), hours=8)
    report_fault(canner.pk, Report("damaged", "Cracked.", stops=OUT), by=steward)
    assert "Tue 11 Aug, 21:00 to Wed 12 Aug, 5:00" in told(household)[0].sentence
