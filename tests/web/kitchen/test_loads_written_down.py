"""Writing a load down: any member may, and what fell short says so."""

import pytest

from coop.kitchen.models import Fate, Load, Lot
from coop.people.models import Change
from tests.web import buy_factories, factories
from tests.web.kitchen.loading import CORN, last_load, line, page, typed, writing
from tests.web.kitchen_factories import (
    make_fate,
    make_kitchen,
    make_load,
    make_lot,
    make_plan,
    make_use,
)
from tests.web.reading import main_of, text_of

BEANS = "snap_beans|pieces|hot|quart|1"
TOMATOES = "tomato|crushed|hot|quart|1"


def test_any_member_writes_a_load_down(as_member, member):
    answer = as_member.post(writing(member), typed(member))
    load = last_load()
    assert answer.headers["Location"] == page(member, "load", load.pk)
    assert (load.minutes, load.psi, load.vent_minutes, load.altitude_ft) == (85, 13, 10, 5430)
    assert (load.run, str(load.day), load.watcher, load.by) == (1, "2026-08-11", member, member)
    assert load.suspect_at is None
    lot = load.lots.get()
    assert (lot.number, lot.counted_in, lot.household) == (101, 7, member.household)
    assert (lot.produce, lot.product, lot.pack, lot.jar) == tuple(CORN.split("|")[:4])


def test_loads_of_a_day_and_lots_of_a_coop_count_up(as_member, member):
    make_lot(factories.make_household(), number=900)  # another co-op counts for itself
    as_member.post(writing(member), typed(member))
    as_member.post(writing(member), typed(member, canner="The small canner"))
    assert list(Load.objects.filter(coop=member.coop).values_list("run", flat=True)) == [2, 1]
    numbers = Lot.objects.filter(coop=member.coop).values_list("number", flat=True)
    assert sorted(numbers) == [101, 102]


def test_several_households_share_a_load(as_member, member, other_household):
    lines = line(other_household, row=1, count=2)
    as_member.post(writing(member), typed(member, rows=3, count_0=5, **lines))
    lots = last_load().lots.order_by("number").values_list("household__name", "counted_in")
    assert list(lots) == [("Castell", 5), ("Dufresne", 2)]


def test_a_form_that_is_sent_twice_makes_one_load(as_member, member):
    as_member.post(writing(member), typed(member))
    again = as_member.post(writing(member), typed(member))
    assert again.status_code == 422
    assert "written down already" in text_of(again)
    assert Load.objects.count() == Lot.objects.count() == 1


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("wrong", "sentence"),
    (
        ({"minutes": 0}, "greater than or equal to 1"),
        ({"psi": None}, "This field is required"),
        ({"vent_minutes": None}, "This field is required"),
        ({"ended_at": "2026-08-11T10:00"}, "still to come"),
        ({"ended_at": "noon"}, "Write a day and a time"),
        ({"canner": ""}, "This field is required"),
        ({"watcher": ""}, "Say who watched it"),
        ({"gauge_tested_on": "2026-08-12"}, "tested after this load"),
        ({"count_0": ""}, "Count the jars that went in"),
        ({"count_0": 0}, "greater than or equal to 1"),
        ({"key_0": ""}, "Say what is in them"),
        ({"key_0": "cake|whole|hot|quart|1"}, "Select a valid choice"),
        ({"household_0": ""}, "Say whose jars these are"),
        ({"rows": 2, "count_1": 3}, "Say what is in them"),
    ),
)
def test_what_is_wrong_is_said_at_its_field(as_member, member, wrong, sentence):
    answer = as_member.post(writing(member), typed(member, **wrong))
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert not Load.objects.exists()
    if "canner" not in wrong:
        assert main_of(answer).select_one("#id_canner")["value"] == "The big canner"


def test_a_line_of_another_coops_household_is_refused(as_member, member, outsider):
    answer = as_member.post(writing(member), typed(member, household_0=outsider.household_id))
    assert answer.status_code == 422
    assert not Load.objects.exists()


def test_boiling_water_asks_for_no_pressure_and_keeps_none(as_member, member):
    address = writing(member, "boiling_water")
    assert "psi" not in text_of(as_member.get(address))
    # Crushed tomatoes in quarts at 3,001 to 6,000 ft: 55 minutes (the same guide, number 3).
    as_member.post(address, typed(member, key_0=TOMATOES, minutes=55))
    load = last_load()
    assert (load.psi, load.vent_minutes, load.gauge_tested_on) == (None, None, None)
    assert load.suspect_at is None


def test_somebody_who_is_no_member_may_have_watched(as_member, member):
    as_member.post(writing(member), typed(member, watcher="", watcher_name="Aunt Hedda"))
    assert last_load().watcher_name == "Aunt Hedda"


# ---- Less than published --------------------------------------------------------------------
SHORT = (
    ({"minutes": 55}, "needs 85 minutes at 5,430 ft; it ran 55 minutes"),
    ({"psi": 11}, "needs 13 psi at 5,430 ft; it ran at 11 psi"),
    ({"vent_minutes": 4}, "Steam has to vent for 10 minutes first; it did for 4"),
    ({"key_0": "|no_tested_process|hot|half_gallon|1", "what_0": "Corn"}, "no tested process"),
)


@pytest.mark.parametrize(("short", "sentence"), SHORT)
def test_what_fell_short_needs_a_yes_first(as_member, member, short, sentence):
    answer = as_member.post(writing(member), typed(member, **short))
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert "Complete Guide to Home Canning" in text_of(answer)
    assert main_of(answer).select_one("input[name=ran_so]") is not None
    assert not Load.objects.exists()


@pytest.mark.parametrize(("short", "sentence"), SHORT)
def test_with_the_yes_it_is_kept_and_suspect_from_the_start(as_member, member, short, sentence):
    as_member.post(writing(member), typed(member, ran_so="on", **short))
    load = last_load()
    assert load.suspect_at == factories.NOW
    assert sentence in load.suspect_why
    for address in (page(member, "load", load.pk), page(member, "lot", load.lots.get().pk)):
        told = text_of(as_member.get(address))
        assert "All its jars are in doubt, sealed or not" in told
        assert sentence in told


def test_the_yes_alone_makes_nothing_suspect(as_member, member):
    as_member.post(writing(member), typed(member, ran_so="on"))
    assert last_load().suspect_at is None


@pytest.mark.sqlite  # about the page alone
def test_the_box_is_not_shown_before_it_is_needed(as_member, member):
    assert main_of(as_member.get(writing(member))).select_one("input[name=ran_so]") is None


def test_jars_that_do_not_share_a_load_are_told_though_it_ran_for_the_longest(
    as_member, member, other_household
):
    beans = line(other_household, row=1, key=BEANS, count=3)
    as_member.post(writing(member), typed(member, rows=2, count_0=4, **beans))
    load = last_load()
    assert load.suspect_at is None
    told = text_of(as_member.get(page(member, "load", load.pk)))
    assert "Only jars with the same minutes and pressure share a load" in told


@pytest.mark.parametrize(("tested_on", "told"), (("2025-08-11", False), ("2025-08-10", True)))
def test_a_gauge_not_tested_for_a_year_is_told_on_load_and_lot(as_member, member, tested_on, told):
    # USDA, Complete Guide (2015), guide 1: gauges are tested before use each year.
    as_member.post(writing(member), typed(member, gauge_tested_on=tested_on))
    load = last_load()
    for address in (page(member, "load", load.pk), page(member, "lot", load.lots.get().pk)):
        text = text_of(as_member.get(address))
        assert ("It is to be tested within the 12 months" in text) is told
    assert load.suspect_at is None


def test_the_kitchen_decides_how_high_it_was(as_member, member):
    high = make_kitchen(member.coop, "The mill", altitude_ft=6800)
    address = writing(member, more=f"&kitchen={high.pk}")
    answer = as_member.post(address, typed(member))
    assert "needs 14 psi at 6,800 ft" in text_of(answer)
    as_member.post(address, typed(member, psi=14))
    assert (last_load().kitchen, last_load().altitude_ft) == (high, 6800)


# ---- Before the form ------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_first_the_kind_of_canner_is_asked(as_member, member, other_household_member):
    make_load(member.coop, by=other_household_member, canner="Grandmother's pot")
    choice = as_member.get(page(member, "new_load"))
    assert "Grandmother's pot" in text_of(choice)
    link = main_of(choice).select_one(".rows a")["href"]
    form = main_of(as_member.get(page(member, "new_load") + link))
    assert form.select_one("#id_canner")["value"] == "Grandmother's pot"
    assert form.select_one("#id_gauge_tested_on")["value"] == "2026-05-13"
    names = [option["value"] for option in form.select("#canners option")]
    assert names == ["Grandmother's pot"]


@pytest.mark.sqlite  # about the page alone
def test_only_what_is_published_for_the_canner_here_is_offered(as_member, member):
    options = main_of(as_member.get(writing(member))).select("#id_key_0 option")
    values = {option["value"] for option in options}
    assert CORN in values
    assert TOMATOES in values
    assert not any(value.startswith("cucumbers") for value in values)  # boiling water alone
    said = next(option.text for option in options if option["value"] == CORN)
    assert said == "Quarts: sweet corn, whole kernel, hot pack, 85 minutes at 13 psi"


def test_a_use_fills_the_form_in(as_member, member, other_household, coordinator):
    buy = buy_factories.make_divided_buy(coordinator=coordinator, shares={other_household: 335})
    share = buy_factories.the_line(buy).divisions.get().shares.get()
    use = make_use(make_plan(other_household, share=share), mouth="wide")
    address = page(member, "new_load", query=f"?use={use.pk}")
    form = main_of(as_member.get(address))
    assert form.select_one("#id_minutes")["value"] == "85"
    assert form.select_one("#id_psi")["value"] == "13"
    chosen = [option["value"] for option in form.select("#id_key_0 option[selected]")]
    assert chosen == [CORN]
    as_member.post(address, typed(member, household_0=other_household.pk, mouth_0="wide"))
    lot = last_load().lots.get()
    assert (lot.use, lot.share, lot.mouth) == (use, share, "wide")
    assert lot.farm == buy_factories.the_supply(buy).farm


def test_another_canner_than_that_of_the_use_may_be_chosen(as_member, member, household):
    use = make_use(make_plan(household))
    address = page(member, "new_load", query=f"?use={use.pk}")
    link = main_of(as_member.get(address)).find("a", string="Another canner or kitchen")["href"]
    choice = main_of(as_member.get(page(member, "new_load") + link))
    assert choice.select_one("button[value=weighted_gauge]") is not None
    assert choice.select_one("input[name=use]")["value"] == str(use.pk)


@pytest.mark.sqlite  # about the page alone
def test_no_form_has_lines_without_end(as_member, member):
    form = main_of(as_member.post(writing(member), typed(member, more="1", rows=500)))
    assert form.select_one("#id_count_7") is not None
    assert form.select_one("#id_count_8") is None


def test_jars_of_somebody_else_do_not_come_of_the_use(as_member, member, other_household):
    use = make_use(make_plan(other_household))
    as_member.post(page(member, "new_load", query=f"?use={use.pk}"), typed(member))
    assert last_load().lots.get().use is None


@pytest.mark.sqlite  # about the page alone
def test_another_line_keeps_what_is_typed(as_member, member):
    answer = as_member.post(writing(member), typed(member, more="1", canner="Tall one"))
    form = main_of(answer)
    assert answer.status_code == 200
    assert form.select_one("#id_canner")["value"] == "Tall one"
    assert form.select_one("#id_count_0")["value"] == "7"
    assert form.select_one("#id_count_1") is not None
    assert not Load.objects.exists()


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("query", ("?use=x", "?use=99999", "?reprocess=99999", "?kitchen=99999"))
def test_what_is_not_there_is_not_found(as_member, member, query):
    assert as_member.get(page(member, "new_load", query=query)).status_code == 404


def test_what_is_another_coops_is_not_found(as_member, member, outsider):
    use, lot = make_use(make_plan(outsider.household)), make_lot(outsider.household)
    kitchen = make_kitchen(outsider.coop)
    for query in (f"?use={use.pk}", f"?reprocess={lot.pk}", f"?kitchen={kitchen.pk}"):
        assert as_member.get(page(member, "new_load", query=query)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_a_stranger_writes_nothing(as_outsider, as_stranger, signed_out, member):
    for client in (as_outsider, as_stranger):
        assert client.post(writing(member), typed(member)).status_code == 404
    assert signed_out.post(writing(member), typed(member)).status_code == 302
    assert not Load.objects.exists()


# ---- Processed again ------------------------------------------------------------------------
def test_jars_that_are_processed_again_get_a_new_lot(as_member, member):
    lot = make_lot(member.household, sealed=5)
    fate = make_fate(lot, Fate.What.REPROCESSED, 2)
    address = writing(member, more=f"&reprocess={lot.pk}")
    assert main_of(as_member.get(address)).select_one("#id_count_0")["value"] == "2"
    as_member.post(address, typed(member, count_0=2))
    fate.refresh_from_db()
    assert fate.new_lot == last_load().lots.get()
    assert "Processed again from" in text_of(as_member.get(page(member, "lot", fate.new_lot_id)))


def test_a_load_without_those_jars_is_refused(as_member, member):
    lot = make_lot(member.household, sealed=5)
    make_fate(lot, Fate.What.REPROCESSED, 2)
    answer = as_member.post(
        writing(member, more=f"&reprocess={lot.pk}"), typed(member, key_0=BEANS)
    )
    assert "One line has to be of Castell, Sweet corn, whole kernel" in text_of(answer)
    assert Load.objects.count() == 1


def test_who_wrote_it_stays_in_the_history(as_member, member):
    as_member.post(writing(member), typed(member))
    about = f"load:{last_load().pk}"
    assert Change.objects.get(about=about).after["minutes"] == 85
