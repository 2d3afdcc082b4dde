"""This week says what bookings want of a household, what it was told, and what keepers look to."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.telling import tell
from coop.equipment.models import Care, Told
from coop.equipment.queries.week import part
from tests.web import equipment_factories as rows
from tests.web.equipment_factories import HOUR
from tests.web.factories import NOW, make_household, make_member
from tests.web.reading import main_of, sections_of, text_of

DUE = "Due from you"
STEWARD = "Waiting for you as steward"


@pytest.fixture
def steward(coop):
    """Looks after all equipment."""
    return make_member(make_household(coop, "Gable"), "Hattie Gable", roles=["steward"])


@pytest.fixture
def look(sign_in):
    """The text of somebody's This week, by section."""

    def text(member):
        return sections_of(sign_in(member).get(f"/{member.coop.slug}/"))

    return text


@pytest.fixture
def dryer(coop):
    """A dehydrator of the co-op."""
    return rows.make_thing(coop, "dehydrator", name="Dryer", home="Grange hall")


@pytest.fixture
def freeze_dryer(coop):
    """A freeze dryer of the co-op."""
    return rows.make_thing(coop, "freeze_dryer", name="Freeze dryer")


# ---- A way to book --------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_the_first_tap_to_book_is_on_this_week(look, sign_in, member, dryer):
    assert "1 thing to share" in look(member)["Equipment"]
    page = main_of(sign_in(member).get("/cottonwood/"))
    assert page.select_one('a[href^="/cottonwood/equipment/find/"]').text == "Book equipment"


@pytest.mark.sqlite  # about the page alone
def test_with_nothing_shared_there_is_no_way_to_book(look, member, coop):
    rows.make_thing(coop, retired_at=NOW)
    assert "Equipment" not in look(member)


# ---- Bookings -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_a_booking_is_told_two_days_before_it_starts(look, member, household, dryer):
    rows.make_booking(dryer, household, start=NOW + 48 * HOUR, purpose="plums")
    due = look(member)[DUE]
    assert "Dryer is yours" in due
    assert "Thu 13 Aug, 9:00 to 12:00, for plums. To be had at: Grange hall." in due


@pytest.mark.sqlite  # about the page alone
def test_what_was_booked_in_one_act_is_one_thing_to_do(look, member, household, dryer, coop):
    canner = rows.make_dial_canner(coop, name="Canner", home="Grange hall")
    act = {"start": NOW + 5 * HOUR, "together": uuid4()}
    for thing in (dryer, canner):
        rows.make_booking(thing, household, **act)
    # A series of weeks is booked in one act too: each of its times is its own.
    rows.make_booking(dryer, household, start=NOW + 40 * HOUR, together=act["together"])
    due = look(member)[DUE]
    assert "Dryer and Canner are yours today" in due
    assert due.count("To be had at: Grange hall.") == 2
    assert "The gauge test of Canner is out of date." in due
    assert "Dryer is yours" in due


@pytest.mark.sqlite  # about the page alone
def test_a_later_booking_and_anothers_are_not_told(look, member, household, dryer, other_household):
    rows.make_booking(dryer, household, start=NOW + 49 * HOUR)
    rows.make_booking(dryer, other_household, start=NOW + HOUR)
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_what_is_out_is_to_be_brought_back(look, member, household, dryer):
    rows.make_out(rows.make_booking(dryer, household, start=NOW - HOUR))
    due = look(member)[DUE]
    assert "Bring Dryer back today" in due
    assert "Due today at 11:00. To: Grange hall." in due


def test_what_is_late_says_so_first_of_all(look, sign_in, member, household, dryer, coop):
    other = rows.make_booking(rows.make_thing(coop, "scale"), household, start=NOW + HOUR)
    late = rows.make_booking(dryer, household, start=NOW - 30 * HOUR)
    rows.make_out(late)
    assert "Bring Dryer back late It was due yesterday at 6:00." in look(member)[DUE]
    main = main_of(sign_in(member).get("/cottonwood/")).select(".button-main")
    assert [each["href"] for each in main] == [f"/cottonwood/equipment/bookings/{late.pk}/back/"]
    assert other.thing.name in look(member)[DUE]


@pytest.mark.sqlite  # about the page alone
def test_what_is_back_or_cancelled_is_not_due(look, member, household, dryer, coop):
    back = rows.make_booking(dryer, household, start=NOW - HOUR)
    rows.make_out(back)
    rows.make_back(back, at=NOW)
    rows.make_booking(rows.make_thing(coop), household, start=NOW + HOUR, cancelled_at=NOW)
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_a_freeze_dryer_wants_somebody_there_when_it_is_done(
    look, sign_in, member, household, freeze_dryer
):
    booking = rows.make_booking(
        freeze_dryer, household, start=NOW - HOUR, hours=40, expected_at=NOW + 27 * HOUR
    )
    due = look(member)[DUE]
    assert "Be there when Freeze dryer is done tomorrow" in due
    assert "Expected tomorrow at 12:00, at the latest Wed 12 Aug at 24" not in due
    assert "at the latest Thu 13 Aug at 0:00" in due
    # Food takes up moisture at once: trade notes, section 4, source 105.
    assert "takes up moisture at once" in due
    assert f"/bookings/{booking.pk}/run/" in sign_in(member).get("/cottonwood/").content.decode()


@pytest.mark.sqlite  # about the page alone
def test_a_time_offered_in_line_is_said_once_with_until_when(look, member, household, dryer):
    standby = rows.make_standby(dryer, household)
    booking = rows.make_booking(
        dryer, household, start=NOW + 80 * HOUR, standby=standby, held_until=NOW + 12 * HOUR
    )
    tell(household, Told.What.OFFERED, dryer, "Dryer could be yours.", booking=booking)
    due = look(member)[DUE]
    assert "Dryer is yours to take offered" in due
    assert "Say yes until tonight at 21:00" in due
    assert "Dryer could be yours." not in due


@pytest.mark.sqlite  # about the page alone
def test_an_offer_stands_under_its_own_day_and_says_that_it_ends_at_night(
    sign_in, member, household, dryer
):
    standby = rows.make_standby(dryer, household)
    # 9:00 in Denver now: offered for Fri 14 Aug, held until 3:00 tomorrow.
    rows.make_booking(
        dryer, household, start=NOW + 80 * HOUR, standby=standby, held_until=NOW + 18 * HOUR
    )
    row = main_of(sign_in(member).get("/cottonwood/")).select_one("li.row:has(.chip)")
    assert "14" in row.select_one(".row-mark").text
    assert "3:00, in the night; then" in row.text


@pytest.mark.sqlite  # about the page alone
def test_an_offer_that_ran_out_is_not_there(look, member, household, dryer):
    standby = rows.make_standby(dryer, household)
    rows.make_booking(dryer, household, start=NOW + HOUR, standby=standby, held_until=NOW)
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_a_later_time_is_to_be_answered(look, sign_in, member, household, freeze_dryer):
    booking = rows.make_booking(
        freeze_dryer,
        household,
        start=NOW + 100 * HOUR,
        shifted_at=NOW,
        shifted_from=NOW + 96 * HOUR,
    )
    tell(household, Told.What.SHIFTED, freeze_dryer, "It was moved.", booking=booking)
    due = look(member)[DUE]
    assert "Freeze dryer comes later does it suit?" in due
    assert "in place of Sat 15 Aug, 9:00" in due
    assert "It was moved." not in due
    page = main_of(sign_in(member).get("/cottonwood/"))
    assert page.select_one(f'a[href$="/equipment/bookings/{booking.pk}/shift/"]')
    booking.shift_answered_at = NOW
    booking.save()
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_an_old_gauge_test_warns_beside_the_booking_with_its_source(look, member, household, coop):
    canner = rows.make_dial_canner(coop)
    rows.make_booking(canner, household, start=NOW + HOUR)
    due = look(member)[DUE]
    assert "Its gauge test is out of date." in due
    assert "Complete Guide to Home Canning" in due  # USDA15, guide 1: tested each year


@pytest.mark.sqlite  # about the page alone
def test_a_booking_of_what_is_out_of_order_says_why(look, member, household, dryer):
    rows.make_booking(dryer, household, start=NOW + HOUR)
    rows.make_fault(dryer, sentence="It smokes.")
    assert "Out of order: It smokes." in look(member)[DUE]


# ---- Told -----------------------------------------------------------------------------------
def read_url(told):
    return f"/{told.coop.slug}/equipment/told/{told.pk}/read/"


@pytest.mark.sqlite  # about the page alone
def test_what_the_household_was_told_stands_until_it_is_read(
    look, sign_in, member, household, dryer
):
    booking = rows.make_booking(dryer, household, start=NOW + 90 * HOUR)
    told = tell(household, Told.What.OUT_OF_ORDER, dryer, "Dryer smokes.", booking=booking)
    assert "A thing you booked is out of order Dryer smokes. Booking" in look(member)[DUE]
    answer = sign_in(member).post(read_url(told))
    assert answer.status_code == 302
    told.refresh_from_db()
    assert (told.read_by, told.read_at) == (member, NOW)
    assert DUE not in look(member)


def test_read_twice_does_no_harm(sign_in, member, household, dryer):
    told = tell(household, Told.What.LAPSED, dryer, "Too late.")
    for _ in range(2):
        assert sign_in(member).post(read_url(told)).status_code == 302


def test_reading_is_for_the_household_that_was_told(
    as_coordinator, as_outsider, as_member, household, other_household, dryer
):
    told = tell(other_household, Told.What.LAPSED, dryer, "Too late.")
    assert as_member.post(read_url(told)).status_code == 403
    assert as_coordinator.post(read_url(told)).status_code == 403
    assert as_outsider.post(f"/sagebrush/equipment/told/{told.pk}/read/").status_code == 404
    assert as_member.get(read_url(told)).status_code == 405
    told.refresh_from_db()
    assert told.read_at is None


def test_where_a_booking_is_gone_the_way_leads_to_free_times(sign_in, member, household, dryer):
    booking = rows.make_booking(dryer, household, cancelled_at=NOW)
    tell(household, Told.What.CHANGED, dryer, "Cal cancelled it.", booking=booking)
    page = sign_in(member).get("/cottonwood/").content.decode()
    assert "/cottonwood/equipment/find/?kind=dehydrator" in page


def test_what_is_urgent_stands_before_what_is_only_to_know(look, member, household, dryer):
    tell(household, Told.What.OUT_OF_ORDER, dryer, "Dryer smokes.")
    tell(household, Told.What.LAPSED, dryer, "Too late for that.")
    due = look(member)[DUE]
    assert due.index("Dryer smokes.") < due.index("Too late for that.")


# ---- For those who keep things --------------------------------------------------------------
def test_a_steward_reads_what_is_wrong_and_what_is_due(look, steward, coop, household):
    rows.make_fault(rows.make_thing(coop, name="Peeler"))
    rows.make_fault(rows.make_thing(coop, name="Mill"), stops="handover")
    rows.make_dial_canner(coop, name="Old gauge")
    soon = rows.make_dial_canner(coop, name="Soon due")
    rows.make_gauge_test(soon, tested_on=date(2025, 9, 1))
    Care.objects.create(thing=soon, what="gasket", every_months=1, at=NOW - timedelta(days=40))
    late = rows.make_booking(
        rows.make_thing(coop, name="Late mill"), household, start=NOW - 9 * HOUR
    )
    rows.make_out(late)
    waiting = look(steward)[STEWARD]
    assert "1 thing out of order, 1 to see to Peeler. Before the next handover: Mill." in waiting
    assert "Test 1 dial gauge: out of date Old gauge. Due soon: Soon due." in waiting
    assert "Complete Guide to Home Canning" in waiting  # USDA15, guide 1
    assert "Care is due Gasket of Soon due." in waiting
    assert "Late mill is not back yet late With Castell, due today at 3:00." in waiting


@pytest.mark.sqlite  # about the page alone
def test_of_many_things_a_steward_reads_the_first_few(look, steward, coop):
    for name in ("A", "B", "C", "D", "E"):
        rows.make_fault(rows.make_thing(coop, name=f"{name} mill"))
    assert "5 things out of order A mill, B mill, C mill and 2 more." in look(steward)[STEWARD]


@pytest.mark.sqlite  # about the page alone
def test_an_owner_reads_it_of_its_own_things_alone(
    look, coop, member, other_household, other_household_member
):
    rows.make_fault(rows.make_thing(name="Ours", owner=other_household))
    rows.make_fault(rows.make_thing(coop, name="The co-op's"))
    due = look(other_household_member)[DUE]
    assert "1 thing out of order Ours." in due
    assert "The co-op's" not in due
    assert DUE not in look(member)


@pytest.mark.sqlite  # about the page alone
def test_a_coordinator_reads_it_where_there_is_no_steward(look, coordinator, coop):
    rows.make_fault(rows.make_thing(coop))
    assert "1 thing out of order" in look(coordinator)["Waiting for you as coordinator"]
    make_member(make_household(coop), roles=["steward"])
    assert "Waiting for you as coordinator" not in look(coordinator)


@pytest.mark.sqlite  # about the page alone
def test_each_deposit_that_waits_is_one_tap_away(sign_in, treasurer, household, member, coop):
    for _ in range(6):
        thing = rows.make_thing(coop, "dehydrator", deposit_cents=5000)
        booking = rows.make_booking(thing, household)
        hand_out(booking.pk, Found(), by=member)
        hand_back(booking.pk, FoundBack(bumped=False, condition="damaged"), by=member)
    page = main_of(sign_in(treasurer).get("/cottonwood/"))
    ways = [link["href"] for link in page.select('a[href$="/deposit/"]')]
    assert len(set(ways)) == len(ways) == 6
    titles = [title.text for title in page.select(".row-title") if "A deposit of" in title.text]
    assert len(titles) == 5  # the sixth stands in the last line


@pytest.mark.sqlite  # about the page alone
def test_with_nothing_wrong_nothing_waits(look, steward, coop):
    rows.make_gauge_test(rows.make_dial_canner(coop))
    assert STEWARD not in look(steward)


# ---- The cost -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_this_week_takes_a_fixed_number_of_queries(steward, coop, household):
    def fill(count):
        for _ in range(count):
            thing = rows.make_dial_canner(coop)
            rows.make_gauge_test(thing, tested_on=date(2025, 1, 1))
            rows.make_fault(thing, stops="handover")
            Care.objects.create(thing=thing, what="gasket", every_months=1, at=NOW - timedelta(90))
            own = rows.make_booking(thing, steward.household, start=NOW + HOUR)
            tell(steward.household, Told.What.CHANGED, thing, "Moved.", booking=own)
            rows.make_out(rows.make_booking(thing, household, start=NOW - 9 * HOUR))

    def queries():
        with CaptureQueriesContext(connection) as made:
            said = part(steward, NOW)
        return len(made), len(said.due)

    fill(2)
    few = queries()
    assert few[1] == 4
    fill(10)
    many = queries()
    assert many[1] == 24
    assert many[0] == few[0] <= 10


@pytest.mark.sqlite  # about the page alone
def test_long_names_are_shown_whole(look, member, household, coop):
    thing = rows.make_thing(coop, "dehydrator", name="Dryer " + "y" * 74)
    rows.make_booking(thing, household, start=NOW + HOUR)
    assert "y" * 74 in look(member)[DUE]


@pytest.mark.sqlite  # about the page alone
def test_another_co_op_reads_nothing_of_it(sign_in, outsider, dryer):
    rows.make_fault(dryer)
    assert "Dryer" not in text_of(sign_in(outsider).get("/sagebrush/"))
