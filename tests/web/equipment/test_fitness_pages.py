"""The steward's overview, the warning of an old gauge test wherever a canner is, and cautions."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from coop.core.tables import caution, spelled_out
from coop.equipment.kinds import KINDS, ThingKind
from coop.equipment.models import Care
from coop.equipment.queries.fitness import fitness_of
from tests.web import equipment_factories as rows
from tests.web.factories import NOW
from tests.web.reading import main_of, sections_of, text_of

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite

TODAY = NOW.date()
URL = "/cottonwood/equipment/fit/"
GUIDE = "Complete Guide to Home Canning"


def drawn(template, **context):
    return " ".join(render_to_string(f"equipment/{template}", context).split())


# ---- The overview ---------------------------------------------------------------------------
def test_with_nothing_shared_it_says_so(as_member):
    assert "No thing is shared yet." in text_of(as_member.get(URL))


def test_with_nothing_to_do_it_says_so(as_member, coop):
    rows.make_gauge_test(rows.make_dial_canner(coop))
    rows.make_thing(coop, "scale")
    text = text_of(as_member.get(URL))
    assert "2 of 2 things are fit for use." in text
    assert "Nothing is out of order" in text


def test_each_list_has_what_belongs_to_it(as_member, coop, other_household):
    stopped = rows.make_thing(coop, name="Stopped dryer", kind="dehydrator")
    rows.make_fault(stopped, sentence="It smokes.")
    rows.make_fault(rows.make_thing(coop, "scale", name="Dirty scale"), stops="handover")
    rows.make_dial_canner(coop, name="Never tested")
    old = rows.make_dial_canner(coop, name="Tested long ago")
    rows.make_gauge_test(old, tested_on=date(2025, 6, 1))
    soon = rows.make_dial_canner(name="Due soon", owner=other_household)
    rows.make_gauge_test(soon, tested_on=date(2025, 9, 9))
    Care.objects.create(thing=soon, what="gasket", every_months=1, at=NOW - timedelta(days=60))
    rows.make_thing(coop, name="Weighted", gauge="weighted")
    sections = sections_of(as_member.get(URL))
    assert "Stopped dryer" in sections["Out of order 1"]
    assert "It smokes." in sections["Out of order 1"]
    assert "Dirty scale" in sections["To see to before the next handover 1"]
    gauges = sections["Dial gauges to be tested 3"]
    # USDA15, guide 1: tested before use each year.
    assert "Never tested out of date Never tested here." in gauges
    assert "Tested long ago out of date Last tested Sun 1 Jun 2025" in gauges
    assert "Due soon due soon Due by Wed 9 Sep" in gauges
    assert GUIDE in gauges
    assert "Weighted" not in gauges
    assert "Due soon : gasket" in sections["Care that is due 1"]
    assert "2 of 6 things are fit" in text_of(as_member.get(URL))


def test_ways_to_mend_stand_only_before_keepers(
    as_member, as_coordinator, as_other_household_member, other_household
):
    rows.make_fault(rows.make_thing(owner=other_household))

    def ways(client):
        return len(main_of(client.get(URL)).select('a[href*="/mend/"]'))

    assert ways(as_member) == 0
    assert ways(as_coordinator) == ways(as_other_household_member) == 1


def test_what_is_retired_or_another_co_ops_is_not_there(as_member, coop):
    gone = rows.make_thing(coop, name="Gone canner", retired_at=NOW)
    rows.make_fault(gone)
    rows.make_fault(rows.make_thing(name="Foreign canner"))
    text = text_of(as_member.get(URL))
    assert "Gone canner" not in text
    assert "Foreign canner" not in text


def test_a_stranger_sees_nothing_of_it(signed_out, as_stranger, as_outsider, coop):
    assert signed_out.get(URL).status_code == 302
    assert as_stranger.get(URL).status_code == 404
    assert as_outsider.get(URL).status_code == 404


def test_three_hundred_things_take_as_many_queries_as_three(as_coordinator, coop):
    def add(count):
        for _ in range(count):
            thing = rows.make_dial_canner(coop)
            rows.make_gauge_test(thing, tested_on=date(2025, 1, 1))
            rows.make_fault(thing)
            Care.objects.create(thing=thing, what="gasket", every_months=1, at=NOW - timedelta(90))

    def look():
        with CaptureQueriesContext(connection) as made:
            page = as_coordinator.get(URL)
        return len(made), text_of(page)

    add(3)
    few, text = look()
    assert text.count("The handle is loose. Damaged") == 3
    add(297)
    many, text = look()
    assert text.count("The handle is loose. Damaged") == 300
    assert many == few


@pytest.mark.sqlite  # about the page alone
def test_a_thing_is_one_row_with_its_faults_each_mended_by_itself(as_coordinator, coop):
    dryer = rows.make_thing(coop, "dehydrator", name="Dryer")
    for sentence, stops in (("It smokes.", "bookings"), ("A tray is gone.", "handover")):
        rows.make_fault(dryer, sentence=sentence, stops=stops)
    page = as_coordinator.get(URL)
    section = sections_of(page)["Out of order 1"]
    assert "It smokes. Damaged, since today" not in section  # days by their names
    assert section.count("Dryer out of order") == 1
    assert "A tray is gone. Damaged, since Tue 11 Aug. To see to before" in section
    assert len(main_of(page).select('a[href*="/mend/"]')) == 2


@pytest.mark.sqlite  # about the page alone
def test_a_bumped_canner_stands_among_the_gauges_to_be_tested(as_member, coop):
    bumped, off = rows.make_dial_canner(coop, name="Fell"), rows.make_dial_canner(coop, name="Off")
    rows.make_gauge_test(bumped)
    rows.make_gauge_test(off, read_tenths=150)
    rows.make_fault(bumped, what="bumped")
    rows.make_fault(off, what="gauge_off")
    gauges = sections_of(as_member.get(URL))["Dial gauges to be tested 2"]
    assert "Fell test before use Dropped or bumped Tue 11 Aug." in gauges
    # USDA15, guide 1: off by more than 2 psi is replaced.
    assert "Off replace The gauge must be replaced, and the new one tested." in gauges


# ---- Warnings and cautions ------------------------------------------------------------------
@pytest.mark.parametrize("brief", (True, False))
def test_an_old_gauge_test_warns_with_the_published_source(coop, brief):
    canner = rows.make_dial_canner(coop)
    rows.make_gauge_test(canner, tested_on=date(2025, 8, 11))
    text = drawn(
        "_gauge_warning.html", thing=canner, fitness=fitness_of(canner, TODAY), brief=brief
    )
    assert "out of date" in text
    assert "Mon 11 Aug 2025" in text
    assert GUIDE in text  # USDA15, guide 1: tested before use each year


@pytest.mark.parametrize("brief", (True, False))
def test_a_dial_that_was_never_tested_warns_too(coop, brief):
    canner = rows.make_dial_canner(coop)
    text = drawn(
        "_gauge_warning.html", thing=canner, fitness=fitness_of(canner, TODAY), brief=brief
    )
    assert "never" in text
    assert GUIDE in text


@pytest.mark.parametrize("brief", (True, False))
def test_nothing_warns_of_a_gauge_tested_in_time_or_weighted(coop, brief):
    tested, weighted = rows.make_dial_canner(coop), rows.make_thing(coop, gauge="weighted")
    rows.make_gauge_test(tested)
    for thing in (tested, weighted):
        fitness = fitness_of(thing, TODAY)
        assert not drawn("_gauge_warning.html", thing=thing, fitness=fitness, brief=brief)


def test_fitness_says_what_is_wrong_and_how_far_the_dial_is_off(coop):
    canner = rows.make_dial_canner(coop)
    rows.make_gauge_test(canner, read_tenths=120)
    rows.make_fault(canner, stops="handover", sentence="The rack is dirty.")
    text = drawn("_fitness.html", thing=canner, fitness=fitness_of(canner, TODAY), may_keep=True)
    assert "The rack is dirty." in text
    assert "it reads 1 psi high" in text
    assert "to see to" in text
    assert "/mend/" in text


@pytest.mark.parametrize("kind", ThingKind.values)
def test_each_kind_shows_the_published_cautions_of_its_topics(coop, kind):
    text = drawn("_cautions.html", thing=rows.make_thing(coop, kind))
    topics = {topic for topic in KINDS[kind].cautions if topic != "dial_gauge"}
    assert ("Where someone could be hurt" in text) == bool(topics)
    assert text.count("<li>") >= len(topics)


def test_cautions_name_their_sources_in_full(coop):
    text = drawn("_cautions.html", thing=rows.make_thing(coop, "burner"))
    assert "Never burn charcoal or run camp stoves" in text  # CPSC_CO
    assert spelled_out("CPSC_CO") in text


def test_only_a_dial_shows_the_cautions_of_dials(coop):
    said = caution("dial_gauge_1").gist
    assert said in drawn("_cautions.html", thing=rows.make_dial_canner(coop))
    weighted = rows.make_thing(coop, gauge="weighted")
    assert said not in drawn("_cautions.html", thing=weighted)


def test_names_that_are_markup_are_only_words(as_coordinator, coop):
    canner = rows.make_dial_canner(coop, name="<b>Big</b> & long " + "x" * 60)
    rows.make_fault(canner, sentence="<script>alert(1)</script>")
    page = as_coordinator.get(URL)
    assert "<b>Big</b> & long" in text_of(page)
    assert not main_of(page).select("b, script")
