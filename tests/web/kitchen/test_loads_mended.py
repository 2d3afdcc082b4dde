"""Mending a load, adding a lot to it, calling it suspect."""

import pytest

from coop.kitchen.models import Lot
from coop.people.models import Change
from tests.web import factories
from tests.web.kitchen.loading import CORN, last_load, line, page, typed, writing
from tests.web.kitchen_factories import make_kitchen, make_load, make_lot, make_plan, make_use
from tests.web.reading import main_of, text_of


@pytest.fixture
def load(member):
    """A load that the member wrote down, with room for four quarts more."""
    load = make_load(by=member, canner="The big canner")
    make_lot(member.household, 3, load=load)
    return load


def mended(member, **others):
    return typed(member, method="dial_gauge", kitchen="") | others


def mend(client, member, load, **others):
    answer = client.post(page(member, "edit_load", load.pk), mended(member, **others))
    load.refresh_from_db()
    return answer


# ---- Mending --------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_the_form_starts_from_what_is_written(as_member, member, load):
    form = main_of(as_member.get(page(member, "edit_load", load.pk)))
    assert form.select_one("#id_minutes")["value"] == "85"
    assert form.select_one("#id_canner")["value"] == "The big canner"


def test_who_wrote_a_load_mends_it(as_member, member, load):
    answer = mend(as_member, member, load, minutes=90, restarts=1)
    assert answer.status_code == 302
    assert (load.minutes, load.restarts) == (90, 1)
    change = Change.objects.get(about=f"load:{load.pk}")
    assert (change.before["minutes"], change.after["minutes"]) == (85, 90)


def test_a_coordinator_mends_it_and_another_household_does_not(
    as_coordinator, as_other_household_member, as_outsider, member, load
):
    assert mend(as_other_household_member, member, load, minutes=90).status_code == 403
    assert mend(as_outsider, member, load, minutes=90).status_code == 404
    assert load.minutes == 85
    assert mend(as_coordinator, member, load, minutes=90).status_code == 302
    assert load.minutes == 90


def test_a_load_that_falls_short_after_mending_needs_a_yes(as_member, member, load):
    assert mend(as_member, member, load, minutes=55).status_code == 422
    assert load.minutes == 85
    assert mend(as_member, member, load, minutes=55, ran_so="on").status_code == 302
    assert "it ran 55 minutes" in load.suspect_why


def test_a_slip_that_made_a_load_suspect_is_lifted_with_the_slip(as_member, member):
    as_member.post(writing(member), typed(member, minutes=58, ran_so="on"))
    load = last_load()
    assert load.suspect_at
    mend(as_member, member, load, minutes=85)
    assert (load.suspect_at, load.suspect_why) == (None, "")
    told = [change.sentence for change in Change.objects.filter(about=f"load:{load.pk}")]
    assert told[0].endswith("; no longer suspect")
    assert "; suspect: " in told[1]


def test_what_a_person_called_suspect_stays_suspect(as_member, member, load):
    as_member.post(page(member, "suspect", load.pk), {"why": "The gauge fell down"})
    mend(as_member, member, load, minutes=90)
    assert load.suspect_why == "The gauge fell down"


def test_another_kitchen_is_another_altitude(as_member, member, load):
    high = make_kitchen(member.coop, altitude_ft=6800)
    assert "needs 14 psi" in text_of(mend(as_member, member, load, kitchen=high.pk))
    mend(as_member, member, load, kitchen=high.pk, psi=14)
    assert load.altitude_ft == 6800


def test_another_day_is_another_run_and_the_lots_go_along(as_member, member, load):
    make_load(by=member, day=factories.NOW.date().replace(day=10))
    mend(as_member, member, load, ended_at="2026-08-10T18:00")
    assert (str(load.day), load.run) == ("2026-08-10", 2)
    assert load.lots.get().made_on == load.day


def test_a_retired_kitchen_of_the_load_stays_to_be_chosen(as_member, member):
    old = make_kitchen(member.coop, retired_at=factories.NOW)
    load = make_load(by=member, kitchen=old)
    form = main_of(as_member.get(page(member, "edit_load", load.pk)))
    assert form.select_one("#id_kitchen option[selected]")["value"] == str(old.pk)


def test_a_boiling_water_load_loses_its_pressure(as_member, member):
    load = make_load(by=member)
    mend(as_member, member, load, method="boiling_water")
    assert (load.method, load.psi, load.vent_minutes) == ("boiling_water", None, None)


def test_a_pressure_load_without_pressure_is_refused(as_member, member, load):
    answer = mend(as_member, member, load, psi="")
    assert answer.status_code == 422
    assert "Say at what pressure it ran" in text_of(answer)


# ---- One more lot ---------------------------------------------------------------------------
def test_a_lot_is_added(as_member, member, load, other_household):
    address = page(member, "add_lot", load.pk)
    answer = as_member.post(address, line(other_household, count=2))
    assert answer.headers["Location"] == page(member, "load", load.pk)
    assert load.lots.get(household=other_household).counted_in == 2


def test_a_household_adds_its_own_jars_to_anybodys_load(
    as_other_household_member, member, load, other_household, household
):
    address = page(member, "add_lot", load.pk)
    assert (
        as_other_household_member.post(address, line(other_household, count=2)).status_code == 302
    )
    assert as_other_household_member.post(address, line(household)).status_code == 403


def test_the_same_lot_twice_is_one_lot(as_member, member, load, other_household):
    address = page(member, "add_lot", load.pk)
    two = line(other_household, count=2)
    as_member.post(address, two)
    again = as_member.post(address, two)
    assert again.status_code == 422
    assert "written down already" in text_of(again)
    noted = two | {"note": "From the other field"}
    assert as_member.post(address, noted).status_code == 302


def test_a_lot_of_a_use_comes_of_it(as_member, member, load, household):
    use = make_use(make_plan(household))
    address = page(member, "add_lot", load.pk, query=f"?use={use.pk}")
    chosen = main_of(as_member.get(address)).select("#id_key_0 option[selected]")
    assert [option["value"] for option in chosen] == [CORN]
    as_member.post(address, line(household, count=2) | {"note": "second pan"})
    assert load.lots.get(use=use)


def test_a_lot_that_needs_more_makes_the_load_suspect(as_member, member, household):
    load = make_load(by=member, minutes=25)
    address = page(member, "add_lot", load.pk)
    answer = as_member.post(address, line(household))
    assert "needs 85 minutes" in text_of(answer)
    assert not Lot.objects.exists()
    as_member.post(address, line(household) | {"ran_so": "on"})
    load.refresh_from_db()
    assert "it ran 25 minutes" in load.suspect_why
    assert "A lot was added; suspect: " in Change.objects.get(about=f"load:{load.pk}").sentence


@pytest.mark.sqlite  # about the page alone
def test_another_coops_load_is_not_found(as_outsider, outsider, load, member):
    for name in ("load", "edit_load", "add_lot", "suspect"):
        assert as_outsider.get(page(outsider, name, load.pk)).status_code == 404
        assert as_outsider.get(page(member, name, load.pk)).status_code == 404


# ---- Suspect --------------------------------------------------------------------------------
def test_a_steward_may_call_a_load_suspect_and_a_plain_member_not(
    as_other_household_member, other_household, sign_in, member, load
):
    address = page(member, "suspect", load.pk)
    typed_why = {"why": "The gauge reads 3 psi high"}
    assert as_other_household_member.post(address, typed_why).status_code == 403
    steward = factories.make_member(other_household, roles=["steward"])
    assert sign_in(steward).post(address, typed_why).status_code == 302
    load.refresh_from_db()
    assert load.suspect_at == factories.NOW
    change = Change.objects.get(about=f"load:{load.pk}")
    assert (change.member, change.sentence) == (
        steward,
        "Called suspect: The gauge reads 3 psi high",
    )


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("why", ("", "   "))
def test_a_reason_is_needed(as_member, member, load, why):
    assert as_member.post(page(member, "suspect", load.pk), {"why": why}).status_code == 422
    load.refresh_from_db()
    assert load.suspect_at is None


def test_every_lot_of_a_suspect_load_says_so(as_member, member, load, other_household):
    lots = [load.lots.get(), make_lot(other_household, load=load, sealed=7)]
    as_member.post(page(member, "suspect", load.pk), {"why": "Nobody vented"})
    for lot in lots:
        for name in ("lot", "count_out", "seals", "unsealed"):
            told = text_of(as_member.get(page(member, name, lot.pk)))
            assert "All its jars are in doubt, sealed or not" in told, name
            assert "Nobody vented" in told


# ---- The page -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_the_page_says_how_it_was_run(as_other_household_member, member, load):
    told = text_of(as_other_household_member.get(page(member, "load", load.pk)))
    for words in ("85 min at 13 psi", "Vented 10 min", "5,430 ft", "Watched by Ines Castell"):
        assert words in told
    # Heat off yesterday at 19:00; seals 12 to 24 hours later.
    assert "Seals from today at 7:00 Seals until tonight at 19:00" in told


@pytest.mark.sqlite  # as many queries on any database
def test_it_asks_the_database_as_often_for_many_lots(
    as_coordinator, member, load, django_assert_num_queries, django_assert_max_num_queries
):
    address = page(member, "load", load.pk)

    def fill(count):
        for _ in range(count):
            make_lot(factories.make_household(member.coop), load=load, sealed=6)

    fill(4)
    with django_assert_max_num_queries(15) as first:
        assert as_coordinator.get(address).content.decode().count("quart jars") == 5
    fill(6)
    with django_assert_num_queries(len(first)):
        assert as_coordinator.get(address).content.decode().count("quart jars") == 11
