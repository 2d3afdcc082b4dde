"""Pages of finding a time and of standing in line, as each of the cast sees them."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.http import urlencode

from coop.equipment.models import Booking, Standby
from tests.web.equipment_factories import (
    HOUR,
    make_booking,
    make_dial_canner,
    make_fault,
    make_standby,
    make_thing,
)
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import main_of, sections_of, text_of, words

CANNER = "pressure_canner"
LONG = "The very large canner from the Mesa Grange that three households bought together in May"


def url(name, coop, *keys, **query):
    address = reverse(f"equipment:{name}", args=[coop.slug, *keys])
    return f"{address}?{urlencode(query)}" if query else address


def page(client, name, coop, **query):
    return client.get(url(name, coop, **query))


@pytest.fixture
def canner(coop):
    return make_thing(coop, name="Big Blue", home="Barn", turnaround_minutes=120)


@pytest.fixture
def offer(canner, member):
    """What is offered to the household of `member` until three in the afternoon in Denver."""
    place = make_standby(canner, member.household)
    return make_booking(
        canner, member.household, held_until=NOW + 6 * HOUR, standby=place, start=NOW + 24 * HOUR
    )


# ---- finding ----------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_without_typing_the_first_page_leads_to_a_booking_of_each_kind(as_member, coop, canner):
    make_thing(coop, "dehydrator", name="Nine Trays")
    answer = page(as_member, "find", coop)
    said = text_of(answer)
    assert "Pressure canner, 3 h" in said
    assert "9:00 to 12:00: Big Blue, Barn." in said
    assert "Dehydrator, 12 h" in said
    link = f"{url('book', coop)}?thing={canner.pk}&amp;start=2026-08-11T15%3A00%3A00%2B00%3A00"
    assert link in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_the_second_tap_leads_to_a_form_that_is_filled_in(as_member, coop, canner):
    answer = page(
        as_member,
        "book",
        coop,
        thing=canner.pk,
        start="2026-08-11T15:00:00+00:00",
        end="2026-08-11T18:00:00+00:00",
    )
    assert 'value="2026-08-11T09:00"' in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_times_stand_by_day_with_what_matters(as_member, coop):
    make_dial_canner(coop, name="Dial", home="Barn", hours=[(2, 17 * 60, 21 * 60)])
    said = text_of(page(as_member, "find", coop, kind=CANNER, minutes=180, gauge="dial"))
    assert "Tomorrow 17:00 to 20:00 Dial, dial gauge; Barn" in said
    assert "The dial gauge of Dial has never been tested here." in said


@pytest.mark.sqlite  # about the page alone
def test_what_is_out_of_order_is_named_with_its_reason(as_member, coop, canner):
    make_fault(canner, sentence="The lid is cracked.")
    said = text_of(page(as_member, "find", coop, kind=CANNER))
    assert "Big Blue is out of order: The lid is cracked." in said


@pytest.mark.sqlite  # about the page alone
def test_a_kind_that_is_all_out_of_order_says_so_and_proposes_no_other_time(as_member, coop):
    make_fault(make_thing(coop, "burner", name="Two-ring burner"))
    said = text_of(page(as_member, "find", coop))
    assert "Out of order: Two-ring burner" in said
    assert "What is nearest" not in said
    make_booking(make_thing(coop, "burner", name="Iron ring"), start=NOW, hours=24 * 9)
    said = text_of(page(as_member, "find", coop))
    assert "None of the 2 is free" in said
    assert "What is nearest" in said


@pytest.mark.sqlite  # about the page alone
def test_nothing_found_says_so_and_what_is_nearest(as_member, coop, canner):
    make_booking(canner, start=NOW + 4 * HOUR, hours=24 * 8)
    answer = page(as_member, "find", coop, kind=CANNER, minutes=180)
    said = text_of(answer)
    assert "Nothing is free for 3 h in that time" in said
    # Back on Wednesday of next week at 13:00, and clean at 15:00; today it must be by 11:00.
    assert "Wed 19 Aug, 15:00 to 18:00" in said
    assert "2 h The longest that is free in that time." in said
    assert f"{url('stand_by', coop)}?kind=pressure_canner" in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_its_own_other_bookings_are_kept_with_a_way_to_see_them_too(as_member, coop, household):
    make_thing(coop, name="Big Blue")
    make_booking(make_thing(coop, "kitchen"), household, start=NOW, hours=4)
    said = text_of(page(as_member, "find", coop, kind=CANNER))
    assert "Show them too" in said
    assert "Today 13:00 to 16:00" in said
    too = text_of(page(as_member, "find", coop, kind=CANNER, even_if_busy="on"))
    assert "Today 9:00 to 12:00" in too


@pytest.mark.sqlite  # about the page alone
def test_a_thing_alone_may_be_asked_for(as_member, coop, canner):
    make_thing(coop, name="Old Red")
    said = text_of(page(as_member, "find", coop, thing=canner.pk))
    assert "Big Blue, 3 h" in said
    assert "Old Red" not in said


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ({"until_at": "2026-08-10T09:00"}, "That is over before it begins."),
        ({"until_at": "2027-08-10T09:00"}, "Look at most 92 days ahead."),
        ({"from_at": "soon"}, "Write a day and a time"),
        ({"minutes": "-5"}, "Choose one of the lengths on the list."),
        ({"minutes": "9" * 30}, "Choose one of the lengths on the list."),
        ({"quarts": "many"}, "Write it in figures"),
        ({"kind": "rocket"}, "rocket"),
        ({"hours": "never"}, "never"),
        ({"thing": "abc"}, "Enter a whole number."),
    ],
)
def test_what_makes_no_sense_is_said_at_its_field_and_kept(
    as_member, coop, canner, query, sentence
):
    answer = page(as_member, "find", coop, **({"kind": CANNER} | query))
    assert answer.status_code == 422
    assert sentence in text_of(answer)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("key", ["999999", "outsiders"])
def test_a_thing_that_is_not_there_is_not_found(as_member, coop, other_coop, key):
    key = make_thing(other_coop).pk if key == "outsiders" else key
    assert page(as_member, "find", coop, thing=key).status_code == 404


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ["find", "standbys", "stand_by"])
def test_everybody_of_the_coop_may_look_and_nobody_else(
    name, coop, as_member, as_treasurer, as_outsider, as_stranger, signed_out
):
    assert page(as_member, name, coop).status_code == 200
    assert page(as_treasurer, name, coop).status_code == 200
    assert page(as_outsider, name, coop).status_code == 404
    assert page(as_stranger, name, coop).status_code == 404
    assert page(signed_out, name, coop).status_code == 302


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("find", "Nothing is shared yet"),
        ("standbys", "Nobody is in line"),
        ("stand_by", "Nothing is shared yet"),
    ],
)
def test_an_empty_coop_says_what_the_page_is_for(as_member, coop, name, sentence):
    assert sentence in text_of(page(as_member, name, coop))


@pytest.mark.sqlite  # about the page alone
def test_three_hundred_things_of_long_names_make_a_page_that_can_be_read(
    as_member, coop, django_assert_max_num_queries
):
    for number in range(300):
        make_thing(coop, name=f"{LONG[:70]} {number}")
    with django_assert_max_num_queries(20):
        answer = page(as_member, "find", coop, kind=CANNER)
    assert "297 more that day" in text_of(answer)
    assert len(answer.content) < 100_000


@pytest.mark.sqlite  # about the page alone
def test_three_times_of_a_day_stand_there_and_a_tap_shows_all_of_that_day(as_member, coop):
    for number in range(7):
        make_thing(coop, name=f"Canner {number}")
    found = main_of(page(as_member, "find", coop, kind=CANNER, minutes=180))
    today = found.select_one('section[aria-labelledby="day-1"]')
    assert len(today.select("li")) == 3
    (more,) = today.select("a.line-link")
    assert more.get_text().startswith("4 more that day")
    days = sections_of(as_member.get(more["href"]))
    assert days["Today"].count("Canner ") == 7 * 2  # its name, and who hears the button hears it
    assert "Tomorrow" not in days


@pytest.mark.sqlite  # about the page alone
def test_gauge_and_length_are_a_tap_away(as_member, coop, canner):
    ways = main_of(page(as_member, "find", coop, kind=CANNER, minutes=180)).select_one("nav.ways")
    links = {words(each): each["href"] for each in ways.select("a")}
    assert {"shorter: 2 h 30 min", "longer: 4 h", "dial"} <= set(links)
    assert "minutes=150" in links["shorter: 2 h 30 min"]
    assert "gauge=dial" in links["dial"]


# ---- in line ----------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_standing_by_leads_to_the_line(as_member, coop, canner):
    make_booking(canner, start=NOW, hours=100)
    answer = as_member.post(url("stand_by", coop), stand_by_form(), follow=True)
    said = text_of(answer)
    assert "Castell is in line." in said
    assert "1. Castell: any, 3 h" in said
    assert "You go first: 0 h with a pressure canner this year" in said


@pytest.mark.sqlite  # about the page alone
def test_a_refused_form_keeps_what_was_typed(as_member, coop, canner):
    form = stand_by_form(until_at="2026-08-11T10:00", purpose="peaches & plums")
    answer = as_member.post(url("stand_by", coop), form)
    assert answer.status_code == 422
    assert "there is no room for 3 h" in text_of(answer)
    assert 'value="peaches &amp; plums"' in answer.content.decode()


@pytest.mark.sqlite  # about the page alone
def test_looking_changes_nothing(as_member, coop, canner, offer):
    for name in ("find", "standbys", "stand_by"):
        page(as_member, name, coop, kind=CANNER)
    for name in ("take", "pass_on"):
        assert as_member.get(url(name, coop, offer.pk)).status_code == 405
    assert as_member.get(url("end_standby", coop, offer.standby_id)).status_code == 405
    assert Standby.objects.get().ended_at is None


@pytest.mark.sqlite  # about the page alone
def test_an_offer_stands_first_with_its_time_and_its_answers(as_member, coop, offer):
    said = text_of(page(as_member, "standbys", coop))
    assert "Take it by Tue 11 Aug, 15:00." in said
    assert "Pass it on" in said


def test_taking_an_offer_leads_to_the_booking(as_member, coop, offer):
    answer = as_member.post(url("take", coop, offer.pk))
    assert answer.url == url("booking", coop, offer.pk)
    offer.refresh_from_db()
    assert offer.held_until is None


def test_passing_on_leads_back_to_the_line(as_member, coop, offer):
    answer = as_member.post(url("pass_on", coop, offer.pk))
    assert answer.url == url("standbys", coop)
    offer.refresh_from_db()
    assert offer.cancel_why == "Passed on."


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("others", [True, False])
def test_who_passes_on_is_told_who_was_next_or_that_nobody_was(
    as_member, coop, canner, offer, other_household, others
):
    if others:
        make_standby(canner, other_household, from_at=offer.starts_at)
    said = text_of(as_member.post(url("pass_on", coop, offer.pk), follow=True))
    assert ("Passed on to Dufresne." in said) == others
    assert ("Passed on: nobody else is in line for it" in said) != others
    assert "next in line." not in said


@pytest.mark.sqlite  # about the page alone
def test_a_place_whose_window_has_passed_stands_under_what_is_over(
    as_member, coop, canner, household
):
    past = NOW - HOUR
    make_standby(canner, household, from_at=past - 24 * HOUR, until_at=past, minutes=60)
    make_standby(canner, household)
    over = sections_of(page(as_member, "standbys", coop))["Yours that are over"]
    assert over.count("Big Blue, ") == 1
    assert "1 h, " in over
    assert "nothing opened that you could use" in over


@pytest.mark.sqlite  # about the page alone
def test_what_ran_out_is_a_page_that_says_so(as_member, coop, offer, clock):
    clock.move_to(offer.held_until)
    answer = as_member.post(url("take", coop, offer.pk))
    assert answer.status_code == 409
    assert "The offer ran out." in text_of(answer)


ACTS = ("take", "pass_on", "end_standby")


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ACTS)
def test_others_cannot_answer_or_leave_for_a_household(
    name, coop, offer, as_other_household_member, as_treasurer, as_outsider, as_stranger, signed_out
):
    key = offer.standby_id if name == "end_standby" else offer.pk
    address = url(name, coop, key)
    assert as_other_household_member.post(address).status_code == 403
    assert as_treasurer.post(address).status_code == 403
    assert as_outsider.post(address).status_code == 404
    assert as_stranger.post(address).status_code == 404
    assert signed_out.post(address).status_code == 302
    offer.refresh_from_db()
    assert (offer.held_until is None, offer.cancelled_at) == (False, None)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ACTS)
@pytest.mark.parametrize("role", ["steward", "coordinator"])
def test_stewards_and_coordinators_may(name, role, coop, offer, sign_in):
    key = offer.standby_id if name == "end_standby" else offer.pk
    keeper = sign_in(make_member(make_household(coop), roles=[role]))
    assert keeper.post(url(name, coop, key)).status_code == 302
    offer.refresh_from_db()
    assert offer.held_until is None or offer.cancelled_at is not None


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("name", ACTS)
def test_what_is_not_there_is_not_found(as_member, coop, name):
    assert as_member.post(url(name, coop, 999999)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_a_plain_member_cannot_stand_by_for_another_household(
    as_member, as_coordinator, coop, canner, other_household
):
    address = url("stand_by", coop, household=other_household.pk)
    assert as_member.post(address, stand_by_form()).status_code == 403
    assert as_coordinator.post(address, stand_by_form()).status_code == 302
    assert Standby.objects.get().household == other_household


@pytest.mark.parametrize("named", ["abc", "999999", "²"])
def test_a_household_that_is_not_there_is_not_found(as_member, coop, named):
    assert page(as_member, "stand_by", coop, household=named).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_the_line_costs_the_same_for_many(as_member, coop, canner, django_assert_max_num_queries):
    for _ in range(30):
        make_standby(canner, purpose=LONG, until_at=NOW + timedelta(days=20))
    Booking.objects.all().delete()
    with django_assert_max_num_queries(16):
        answer = page(as_member, "standbys", coop)
    assert text_of(answer).count("0 h this year") == 30


def stand_by_form(**fields):
    values = {
        "what": f"kind:{CANNER}",
        "minutes": "180",
        "from_at": "2026-08-11T09:00",
        "until_at": "2026-08-14T09:00",
        "purpose": "",
    }
    return values | fields


@pytest.mark.sqlite  # about the page alone
def test_a_search_for_a_gauge_leads_to_a_place_in_line_for_that_gauge(coop, member, as_member):
    make_thing(coop, gauge="dial", name="Big Red")
    page = as_member.get("/cottonwood/equipment/standby/new/?kind=pressure_canner&gauge=dial")
    chosen = re.findall(r'<option value="([^"]+)" selected>', page.content.decode())
    assert "kind:pressure_canner:dial" in chosen
    typed = {
        "what": "kind:pressure_canner:dial",
        "minutes": 180,
        "from_at": "2026-08-12T08:00",
        "until_at": "2026-08-13T20:00",
    }
    answer = as_member.post("/cottonwood/equipment/standby/new/", typed)
    assert answer.status_code == 302
    assert Standby.objects.get().gauge == "dial"


@pytest.mark.sqlite  # about the page alone
def test_what_a_booking_is_for_goes_along_to_the_form(coop, as_member):
    make_thing(coop, gauge="weighted", name="Big Red")
    query = "?kind=pressure_canner&purpose=Peaches&about=buy:3"
    page = as_member.get(f"/cottonwood/equipment/find/{query}").content.decode()
    assert "purpose=Peaches&amp;about=buy%3A3" in page


@pytest.mark.sqlite  # about the page alone
def test_the_warning_of_a_gauge_is_said_once_and_marked_on_every_time(coop, as_member):
    make_thing(coop, gauge="dial", name="Big Red")
    page = as_member.get("/cottonwood/equipment/find/?kind=pressure_canner").content.decode()
    assert page.count("data-gauge-warning") == 1
    assert page.count("gauge test out of date") > 1


def test_from_a_buy_the_overview_leads_on_to_bookings_for_it(coop, as_member):
    make_thing(coop, gauge="weighted", name="Big Red")
    page = as_member.get("/cottonwood/equipment/find/?purpose=Corn&about=buy:3").content.decode()
    assert page.count("purpose=Corn&amp;about=buy%3A3") >= 3


def test_an_offer_of_a_canner_that_nobody_tested_warns_of_it(coop, member, as_member):
    canner = make_dial_canner(coop, name="Big Red")
    place = make_standby(canner, member.household)
    make_booking(canner, member.household, standby=place, held_until=NOW + HOUR)
    assert "data-gauge-warning" in as_member.get(url("standbys", coop)).content.decode()


@pytest.mark.sqlite  # about the page alone
def test_the_filled_button_is_of_the_first_whose_gauge_can_be_counted_on(coop, as_member):
    """Dial gauges are tested every year before use (USDA, Complete Guide, 2015, guide 1)."""
    make_dial_canner(coop, name="Big Red")

    def offered(**query):
        shown = main_of(page(as_member, "find", coop, **query))
        books = shown.select("a[href*='/book/?thing=']")
        filled = [each.get_text() for each in books if "button-main" in each["class"]]
        return books[0].get_text(), [each.split(",")[0] for each in filled]

    first, filled = offered(kind=CANNER)
    assert "Big Red" in first
    assert filled == []
    make_thing(coop, name="Pale Green", gauge="weighted")
    make_thing(coop, "dehydrator", name="Nine Trays")
    for query, best in (({"kind": CANNER}, "Pale Green"), ({}, "Nine Trays")):
        first, filled = offered(**query)
        assert "Big Red" in first, "the times keep their order"
        assert filled == [f"Book {best}"]
