"""The page of a thing: where it is, when it is free, what is known of it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.people.changes import record_change
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import main_of, sections_of, text_of, words

HOUR = timedelta(hours=1)
WAYS = {"edit/", "hours/", "parts/", "photos/add/", "retire/"}
MORNINGS = [(day, 480, 720) for day in range(7)]


def address(thing, page=""):
    return f"/cottonwood/equipment/things/{thing.pk}/{page}"


@pytest.mark.sqlite  # about the page alone
def test_who_has_it_is_one_tap_away(as_member, coop, other_household):
    other_household.phone = "555-0142"
    other_household.save()
    thing = rows.make_thing(coop, "scale")
    rows.make_out(rows.make_booking(thing, other_household, start=NOW - HOUR))
    page = main_of(as_member.get(address(thing)))
    assert "Dufresne has it" in words(page)
    assert page.select_one('a[href="tel:555-0142"]') is not None
    assert page.select_one(f'a[href="{address(thing, "handover/")}"]') is not None


@pytest.mark.sqlite  # about the page alone
def test_it_goes_out_only_when_its_time_has_come_and_it_is_in_order(as_member, coop, household):
    thing = rows.make_thing(coop, "scale")
    booking = rows.make_booking(thing, household)
    assert "It goes out" not in text_of(as_member.get(address(thing)))
    booking.starts_at = NOW + HOUR / 4
    booking.save()
    assert "It goes out" in text_of(as_member.get(address(thing)))
    rows.make_fault(thing)
    assert "It goes out" not in text_of(as_member.get(address(thing)))


def test_free_times_keep_hours_bookings_and_turnaround(as_member, coop, other_household):
    """At NOW it is Tuesday 9:00 in Denver; open 8 to 12, so three hours end by 12."""
    thing = rows.make_thing(coop, "burner", hours=MORNINGS, turnaround_minutes=60)
    rows.make_booking(thing, other_household, start=NOW + 23 * HOUR, hours=1)  # Wed 8 to 9
    free = sections_of(as_member.get(address(thing)))["Next free"]
    assert "Tue 11 Aug, 9:00 to 12:00" in free
    assert "Wed 12 Aug" not in free
    assert "Thu 13 Aug, 8:00 to 11:00" in free


@pytest.mark.sqlite  # about the page alone
def test_book_carries_the_time_with_it(as_member, coop):
    thing = rows.make_thing(coop, "burner")
    main = main_of(as_member.get(address(thing))).select(".button-main")
    assert len(main) == 1
    assert main[0]["href"] == (
        f"/cottonwood/equipment/book/?thing={thing.pk}"
        "&start=2026-08-11T15%3A00%3A00%2B00%3A00&end=2026-08-11T18%3A00%3A00%2B00%3A00"
    )


@pytest.mark.sqlite  # about the page alone
def test_free_times_begin_on_a_quarter_of_an_hour(as_member, coop, clock):
    thing = rows.make_thing(coop, "burner")
    clock.move_to(NOW + timedelta(minutes=7, seconds=3))
    assert "9:15 to 12:15" in sections_of(as_member.get(address(thing)))["Next free"]


@pytest.mark.sqlite  # about the page alone
def test_what_is_out_is_free_only_after_it_is_back_and_turned_around(
    as_member, coop, other_household
):
    thing = rows.make_thing(coop, "burner", turnaround_minutes=60)
    rows.make_out(rows.make_booking(thing, other_household, start=NOW - HOUR, hours=3))
    free = sections_of(as_member.get(address(thing)))["Next free"]
    assert "Tue 11 Aug, 12:00 to 15:00" in free


@pytest.mark.sqlite  # about the page alone
def test_times_are_proposed_by_day_for_as_long_as_its_kind_is_usual(
    as_member, coop, other_household, clock
):
    """A scale for 2 h; at 20:30 not to 22:30, but the next mornings; a free day is not left out."""
    thing = rows.make_thing(coop, "scale")
    clock.move_to(NOW + 11.5 * HOUR)
    rows.make_booking(thing, other_household, start=NOW + 45 * HOUR, hours=3)  # Thu 6:00 to 9:00
    free = sections_of(as_member.get(address(thing)))["Next free"]
    times = ["Wed 12 Aug, 6:00 to 8:00", "Thu 13 Aug, 9:00 to 11:00", "Fri 14 Aug, 6:00 to 8:00"]
    assert [each in free for each in times] == [True] * 3
    assert "Tue 11 Aug" not in free


@pytest.mark.sqlite  # about the page alone
def test_what_may_be_out_only_at_night_is_proposed_then(as_member, coop):
    thing = rows.make_thing(coop, "burner", hours=[(day, 0, 300) for day in range(7)])
    free = sections_of(as_member.get(address(thing)))["Next free"]
    assert "Wed 12 Aug, 0:00 to 3:00" in free


@pytest.mark.sqlite  # about the page alone
def test_out_of_order_offers_another_and_no_booking(as_member, coop):
    thing = rows.make_thing(coop, "scale")
    rows.make_fault(thing, sentence="It shows 3 lb empty.")
    page = main_of(as_member.get(address(thing)))
    assert "It shows 3 lb empty." in words(page)
    assert not page.select('a[href*="/book/"]')
    assert page.select_one('a[href$="/find/?kind=scale"]') is not None


@pytest.mark.sqlite  # about the page alone
def test_a_freeze_dryer_is_looked_for_by_its_longest_cycle(as_member, coop):
    """Trade notes, section 4: a cycle runs 16 to 40 hours."""
    thing = rows.make_thing(coop, "freeze_dryer")
    free = sections_of(as_member.get(address(thing)))["Next free"]
    assert "Tue 11 Aug, 9:00 to Thu 13 Aug, 1:00" in free


@pytest.mark.sqlite  # about the page alone
def test_facts_carry_their_units(as_member, coop):
    thing = rows.make_dial_canner(
        coop,
        home="Grange hall",
        weight_tenths=185,
        btu=12000,
        not_on=["smooth", "induction"],
        turnaround_minutes=120,
        longest_minutes=3 * 1440,
        fee_cents=300,
        fee_per="hour",
        deposit_cents=2500,
        hours=MORNINGS,
        use_note="Three quarts of water.",
    )
    facts = sections_of(as_member.get(address(thing)))["What it is"]
    for said in (
        "Home Grange hall",
        "Weight empty 18.5 lb",
        "Over at most 12,000 BTU an hour",
        "Must not stand on smooth glass top and induction",
        "May be out every day 8:00 to 12:00",
        "Longest booking 3 days",
        "Turnaround 2 h after each booking",
        "Fee $3.00 an hour",
        "Deposit $25.00, held until it is back whole",
        "Three quarts of water.",
    ):
        assert said in facts


def test_who_has_had_it_and_how_it_came_back(as_member, coop, other_household):
    thing = rows.make_thing(coop, "scale")
    booking = rows.make_booking(thing, other_household, start=NOW - 30 * HOUR)
    rows.make_out(booking)
    rows.make_back(booking, bumped=True, note="Fell off the tailgate.")
    page = text_of(as_member.get(address(thing)))
    assert "Who has had it: last Dufresne" in page
    assert "clean and whole, dropped or bumped. Fell off the tailgate." in page


def test_coming_bookings_say_which_of_them_has_it_now(as_member, coop, other_household):
    thing = rows.make_thing(coop, "scale")
    rows.make_out(rows.make_booking(thing, other_household, start=NOW - HOUR))
    rows.make_booking(thing, other_household, purpose="peaches")
    coming = sections_of(as_member.get(address(thing)))["Coming bookings"]
    assert "Tue 11 Aug, 8:00 to 11:00 Dufresne, has it now" in coming
    assert "Wed 12 Aug, 9:00 to 12:00 Dufresne; peaches" in coming


@pytest.mark.sqlite  # about the page alone
def test_notes_are_text_and_never_markup(as_member, coop):
    thing = rows.make_thing(coop, "scale", name="<b>Bold</b>", use_note="<script>1</script>")
    page = main_of(as_member.get(address(thing)))
    assert "<b>Bold</b>" in words(page)
    assert page.select_one("script") is None


@pytest.mark.sqlite  # about the page alone
def test_acts_stand_only_before_keepers(as_member, as_other_household_member, household):
    thing = rows.make_thing(owner=household)

    def ways(client):
        page = main_of(client.get(address(thing)))
        places = {str(each.get("href") or each.get("action")) for each in page.select("a, form")}
        return {name for name in WAYS if address(thing, name) in places}

    assert ways(as_other_household_member) == set()
    assert ways(as_member) == WAYS


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("page", ["", "sheet/", "edit/", "hours/", "parts/", "photos/add/"])
def test_what_is_absent_or_another_co_ops_is_a_404(as_coordinator, other_coop, page):
    theirs = rows.make_thing(other_coop)
    assert as_coordinator.get(address(theirs, page)).status_code == 404
    assert as_coordinator.get(f"/cottonwood/equipment/things/999999/{page}").status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_a_much_used_thing_costs_as_many_queries_as_a_new_one(as_member, coop, other_household):
    def cost(thing):
        with CaptureQueriesContext(connection) as seen:
            as_member.get(address(thing))
        return len(seen)

    def used(times):
        thing = rows.make_dial_canner(coop, parts={"lid": 1}, hours=MORNINGS)
        for n in range(times):
            past = rows.make_booking(thing, other_household, start=NOW - (n + 2) * 10 * HOUR)
            rows.make_out(past)
            rows.make_back(past)
            rows.make_booking(thing, other_household, start=NOW + (n + 2) * 10 * HOUR)
            record_change(thing, "Changed.", coop=coop, by=thing.by)
        return thing

    assert cost(used(1)) == cost(used(12))
