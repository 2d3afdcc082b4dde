"""Jars that nobody may eat: on This week, on their labels, in the pantry, in the trace."""

import pytest

from tests.web import factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

SAID = "The gauge read 3 psi high. Do not eat these."


@pytest.fixture
def load(coop, coordinator):
    """A load of this morning, which is not suspect yet."""
    return rows.make_load(coop, by=coordinator)


def call_suspect(load, why=SAID):
    load.suspect_at, load.suspect_why = factories.NOW, why
    load.save()


def due_rows(client, coop):
    section = main_of(client.get(f"/{coop.slug}/")).select_one("section[aria-labelledby=due]")
    return section.select("li.row")


# ---- This week ------------------------------------------------------------------------------
def test_a_warning_stands_first_and_has_the_main_button(as_member, coop, household, coordinator):
    rows.make_lot(household, counted_out=7)  # its seals are for now
    rows.make_warning(rows.make_lot(household, sealed=7), by=coordinator, sentence=SAID)
    first, second = due_rows(as_member, coop)
    assert "Do not eat: All of them" in first.get_text()
    assert SAID in first.get_text()
    assert first.select_one(".button-main")
    assert "Try the seals" in second.get_text()
    assert not second.select_one(".button-main")


@pytest.mark.parametrize("fields", ({}, {"counted_out": 7}, {"sealed": 5}))
def test_jars_of_a_suspect_load_are_no_chore(as_member, coop, household, load, fields):
    rows.make_lot(household, load=load, **fields)
    call_suspect(load)
    rows.make_lot(household, counted_out=6)
    _, last = due_rows(as_member, coop)
    assert "suspect: do not eat" in last.get_text()
    assert SAID in last.get_text()
    assert not last.select(".button-main")
    for chore in ("Count out", "Try the seals", "Say where"):
        assert chore not in last.get_text()
    waiting = main_of(as_member.get(f"/{coop.slug}/loads/")).get_text()
    assert "suspect: do not eat" in waiting


def test_jars_of_a_warned_lot_are_no_chore_once_it_is_read(as_member, coop, household, coordinator):
    warning = rows.make_warning(rows.make_lot(household), by=coordinator, sentence=SAID)
    as_member.post(f"/{coop.slug}/warnings/{warning.pk}/read/")
    (only,) = due_rows(as_member, coop)
    assert "suspect: do not eat" in only.get_text()
    assert not only.select(".button-main")
    assert SAID in main_of(as_member.get(f"/{coop.slug}/lots/{warning.lot_id}/")).get_text()


@pytest.mark.sqlite  # about the page alone
def test_seals_are_not_offered_before_their_hour(as_member, coop, household, load):
    load.ended_at = factories.NOW
    load.save()
    lot = rows.make_lot(household, counted_out=7, load=load)
    seals = f"/{coop.slug}/lots/{lot.pk}/seals/"
    for path in ("", "loads/", f"loads/{load.pk}/", f"lots/{lot.pk}/"):
        page = as_member.get(f"/{coop.slug}/{path}").content.decode()
        assert seals not in page, path
        assert "21:00" in page, path  # twelve hours after nine in the morning


# ---- Called suspect, and warned of ----------------------------------------------------------
def test_a_warning_leaves_the_first_reason_of_a_suspect_load(as_coordinator, coop, load, household):
    rows.make_lot(household, sealed=7, load=load)
    call_suspect(load, "Nobody watched it.")
    page = f"/{coop.slug}/loads/{load.pk}/warn/"
    assert not main_of(as_coordinator.get(page)).select("[name=is_suspect]")
    assert as_coordinator.post(page, {"sentence": SAID, "is_suspect": "on"}).status_code == 302
    load.refresh_from_db()
    assert load.suspect_why == "Nobody watched it."


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("sentence", (SAID, f"{SAID} {'Ask before you open one. ' * 12}".strip()))
def test_the_sentence_is_said_once_in_the_pantry(
    as_member, as_coordinator, coop, load, household, sentence
):
    rows.make_lot(household, sealed=7, load=load)
    page = f"/{coop.slug}/loads/{load.pk}/warn/"
    as_coordinator.post(page, {"sentence": sentence, "is_suspect": "on"})
    said = text_of(as_member.get(f"/{coop.slug}/pantry/"))
    assert said.count(SAID) == 1
    assert "What to do" in said
    assert said.count("The load") == 0


def test_the_jars_of_a_household_are_told_in_one_sentence(
    as_coordinator, sign_in, coop, household, other_household_member, load
):
    lot = rows.make_lot(household, sealed=7, load=load)
    rows.make_taken(lot, 1, given_to=other_household_member.household)
    as_coordinator.post(f"/{coop.slug}/lots/{lot.pk}/warn/", {"sentence": SAID})
    said = sections_of(sign_in(other_household_member).get(f"/{coop.slug}/"))["Due from you"]
    assert ", 1 quart of sweet corn, whole kernel, given by Castell" in said
    assert "Do not eat: lot" in said


# ---- Labels and the pantry ------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_labels_of_suspect_jars_say_do_not_eat_in_place_of_best_by(
    as_member, coop, household, load
):
    bad, good = rows.make_lot(household, sealed=7, load=load), rows.make_lot(household, sealed=7)
    call_suspect(load)
    page = main_of(as_member.get(f"/{coop.slug}/lots/labels/", {"lot": [bad.pk, good.pk]}))
    (notice,) = page.select(".notice-warn")
    assert "DO NOT EAT" in notice.get_text()
    assert SAID in notice.get_text()
    first, second = (drawn.get_text() for drawn in page.select("svg.sheet defs g"))
    assert "DO NOT EAT" in first
    assert "Best by" not in first
    assert "Best by August 2027" in second
    assert "DO NOT EAT" not in second


@pytest.mark.sqlite  # about the page alone
def test_labels_of_a_warned_lot_say_it_as_well(as_member, coop, household, coordinator):
    lot = rows.make_lot(household, sealed=7)
    rows.make_warning(lot, by=coordinator)
    page = main_of(as_member.get(f"/{coop.slug}/lots/labels/", {"lot": lot.pk}))
    assert "DO NOT EAT" in page.select_one("svg.sheet defs").get_text()


@pytest.mark.sqlite  # about the page alone
def test_the_pantry_prints_no_best_by_beside_do_not_eat(as_member, coop, household, load):
    lot = rows.make_lot(household, sealed=7, load=load)
    page = f"/{coop.slug}/pantry/"
    assert "Best by August 2027" in main_of(as_member.get(page)).get_text()
    call_suspect(load)
    row = main_of(as_member.get(page)).select_one(f"#lot-{lot.pk}")
    assert "do not eat" in row.get_text()
    assert "Best by" not in row.get_text()
