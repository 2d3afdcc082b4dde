"""Tracing: from a jar to its farm and its load, and from a delivery to every jar and household."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from stdnum import damm

from coop.buying.models import Share, SpareClaim
from coop.kitchen.queries.trace import lots_of_supply
from tests.web import buy_factories, factories
from tests.web import kitchen_factories as rows
from tests.web.reading import main_of, sections_of, text_of

TODAY = factories.NOW.date()


@pytest.fixture
def buy(coop, household, other_household, member, other_household_member):
    """Sweet corn of one farm, divided between two households."""
    return buy_factories.make_divided_buy(
        coop, shares={household: 400, other_household: 300}, title="First corn"
    )


@pytest.fixture
def supply(buy):
    return buy_factories.the_supply(buy)


@pytest.fixture
def load(coop, member):
    return rows.make_load(coop, by=member, canner="Big canner")


@pytest.fixture
def lot(buy, household, load):
    """Seven quarts of the household's share."""
    return rows.make_lot(household, sealed=6, load=load, share=share_of(buy, household))


def share_of(buy, household):
    return Share.objects.get(division__line__buy=buy, household=household)


def second_farm(buy):
    """Another farm that brought corn to the same buy."""
    farm = factories.make_farm(buy.coop, "Ditch Farm")
    line = buy_factories.the_line(buy)
    more = buy_factories.make_supply(line, factories.make_offer(farm, line.produce), called_in=1)
    buy_factories.make_tally(more)
    return more


@pytest.fixture
def at(coop):
    def path(*parts):
        return "/".join(["", coop.slug, *(str(part) for part in parts), ""])

    return path


# ---- By code --------------------------------------------------------------------------------
@pytest.mark.parametrize("written", ("{}", " #{} ", "0{}"))
def test_a_code_leads_to_its_lot(as_member, at, lot, written):
    code = f"{lot.number}{damm.calc_check_digit(str(lot.number))}"
    answer = as_member.get(at("trace"), {"code": written.format(code)})
    assert answer.url == at("lots", lot.pk, "trace")


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("typed", "sentence"),
    (
        ("1019", "misheard"),
        ("corn", "only digits"),
        ("", "Type the lot code"),
        ("9" * 30, "more than"),
        (f"888{damm.calc_check_digit('888')}", "no lot of this co-op has it"),
    ),
)
def test_a_code_that_leads_nowhere_gets_its_sentence(as_member, at, lot, typed, sentence):
    answer = as_member.get(at("trace"), {"code": typed})
    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert main_of(answer).select_one("[name=code]").get("value", "") == typed


def test_a_code_of_another_coop_leads_nowhere(as_member, at, outsider):
    theirs = rows.make_lot(outsider.household, sealed=7, number=555)
    code = f"{theirs.number}{damm.calc_check_digit('555')}"
    assert as_member.get(at("trace"), {"code": code}).status_code == 422


def test_deliveries_that_came_are_listed_with_their_lots(as_member, at, lot, coop):
    buy_factories.make_called_in_buy(coop, title="Not yet here")
    section = sections_of(as_member.get(at("trace")))["From a delivery"]
    assert "First corn" in section
    assert "1 lot made of it" in section
    assert "Not yet here" not in section


# ---- Backwards from a lot -------------------------------------------------------------------
def test_a_lot_leads_back_to_its_farm_and_its_load(as_member, at, lot, supply, member):
    sections = sections_of(as_member.get(at("lots", lot.pk, "trace")))
    back, put_up = sections["Back: where it came from"], sections["How it was put up"]
    assert supply.farm.name in back
    assert "First corn" in back
    assert "Castell got 40 lb of it" in back
    assert "One of" not in back
    for words in ("Big canner", "85 min at 13 psi", "13 May 2026", "Ines Castell"):
        assert words in put_up


@pytest.mark.sqlite  # about the page alone
def test_a_dial_gauge_that_nobody_tested_is_said_in_tomato(as_member, at, lot, load):
    type(load).objects.update(gauge_tested_on=None)
    main = main_of(as_member.get(at("lots", lot.pk, "trace")))
    assert "no test written down" in main.select_one("dd .warn").get_text()


def test_where_several_farms_came_it_is_one_of_them(as_member, at, lot, buy, supply):
    second_farm(buy)
    back = sections_of(as_member.get(at("lots", lot.pk, "trace")))["Back: where it came from"]
    assert "One of 2 deliveries" in back
    assert "Ditch Farm" in back
    assert supply.farm.name in back


def test_a_lot_that_names_its_farm_is_of_that_one(as_member, at, lot, buy, supply):
    second_farm(buy)
    lot.farm = supply.farm
    lot.save(update_fields=["farm"])
    back = sections_of(as_member.get(at("lots", lot.pk, "trace")))["Back: where it came from"]
    assert "Ditch Farm" not in back
    assert "One of" not in back


def test_a_lot_of_nowhere_says_so(as_member, at, household, member):
    lot = rows.make_lot(household, sealed=7)
    back = sections_of(as_member.get(at("lots", lot.pk, "trace")))["Back: where it came from"]
    assert "Nobody wrote down" in back


def test_frozen_food_has_no_load(as_member, at, household, member):
    lot = rows.make_lot(household, way="freeze", counted_out=4)
    sections = sections_of(as_member.get(at("lots", lot.pk, "trace")))
    assert "no canner" in sections["How it was put up"]
    assert "The others in that load" not in sections


def test_a_warned_lot_says_so_first_and_leads_to_what_to_do(as_member, at, lot, load):
    warning = rows.make_warning(load=load, sentence="The gauge read wrong.")
    type(load).objects.update(suspect_at=factories.NOW, suspect_why="It ran dry.")
    main = main_of(as_member.get(at("lots", lot.pk, "trace")))
    said = [plate.get_text(" ", strip=True) for plate in main.select(".plate-warn")]
    assert "The gauge read wrong." in said[0]
    assert "It ran dry." in said[1]
    assert main.select(f".plate-warn a[href='{at('warnings', warning.pk)}']")


# ---- Sideways -------------------------------------------------------------------------------
def test_the_others_of_its_load_and_of_its_delivery_are_listed(
    as_member, at, lot, load, buy, other_household, treasurer
):
    of_load = rows.make_lot(treasurer.household, sealed=5, load=load)
    of_delivery = rows.make_lot(other_household, sealed=4, share=share_of(buy, other_household))
    rows.make_taken(of_delivery, 1, given_to=treasurer.household)
    rows.make_taken(of_delivery, 2)
    sections = sections_of(as_member.get(at("lots", lot.pk, "trace")))
    load_section = sections["The others in that load"]
    delivery_section = sections["The others of that delivery"]
    assert "Brandt" in load_section
    assert "Dufresne" not in load_section
    assert "Dufresne" in delivery_section
    assert "1 given to Brandt, 2 used" in delivery_section
    assert of_load.pk != of_delivery.pk


def test_what_unsealed_jars_became_is_followed_both_ways(as_member, at, lot, household):
    again = rows.make_lot(household, 1, sealed=1)
    rows.make_fate(lot, what="reprocessed", new_lot=again)
    there = text_of(as_member.get(at("lots", lot.pk, "trace")))
    back = text_of(as_member.get(at("lots", again.pk, "trace")))
    assert "processed again into" in there
    assert "Made of unsealed jars of" in back


# ---- Forwards from a delivery ---------------------------------------------------------------
def test_jars_that_did_not_seal_are_gone_with_what_became_of_them(as_member, at, household):
    lot = rows.make_lot(household, 9, sealed=4)
    rows.make_fate(lot, what="fridge", count=2)
    rows.make_fate(lot, what="thrown_out", count=1)
    rows.make_taken(lot, 3)
    gone = main_of(as_member.get(at("lots", lot.pk, "trace"))).select_one("[data-label=Gone]")
    assert gone.get_text() == (
        "3 used, 2 unsealed: fridge, 1 unsealed: thrown out, 2 unsealed, nothing said yet"
    )


def test_a_delivery_leads_to_every_household_and_jar(as_member, at, supply, lot, other_household):
    answer = as_member.get(at("trace", "delivery", supply.pk))
    sections = sections_of(answer)
    assert "Castell 40 lb 1" in sections["Onwards: who got of it"]
    assert "Dufresne 30 lb none written down" in sections["Onwards: who got of it"]
    cells = main_of(answer).select("table")[-1].select("tbody tr td.number")
    # Out, sealed, on the shelf.
    assert [cell.get_text() for cell in cells] == ["7", "6", "6"]


def test_what_was_claimed_from_the_spare_table_counts(as_member, at, supply, buy, treasurer):
    division = buy_factories.the_line(buy).divisions.get()
    spare = division.spares.create(amount=50)
    SpareClaim.objects.create(spare=spare, household=treasurer.household, amount=50, by=treasurer)
    section = sections_of(as_member.get(at("trace", "delivery", supply.pk)))
    assert "Brandt 5 lb" in section["Onwards: who got of it"]


@pytest.mark.parametrize(
    ("fields", "tie"),
    (
        ({}, "perhaps"),
        ({"produce": "tomato", "product": "crushed"}, ""),
        ({"made_on": TODAY - timedelta(days=9)}, ""),
        ({"made_on": TODAY + timedelta(days=60)}, ""),
    ),
)
def test_jars_that_name_the_farm_and_no_buy_are_perhaps_of_it(supply, household, fields, tie):
    defaults = {"made_on": supply.line.buy.pickup_from.date()}
    lot = rows.make_lot(household, sealed=7, farm=supply.farm, **defaults | fields)
    assert [found for found, _ in lots_of_supply(supply)] == ([lot] if tie else [])
    assert [said for _, said in lots_of_supply(supply)] == ([tie] if tie else [])


def test_of_two_farms_each_delivery_says_how_sure_it_is(buy, supply, lot, household):
    other = second_farm(buy)
    assert [tie for _, tie in lots_of_supply(supply)] == ["one of"]
    lot.farm = supply.farm
    lot.save(update_fields=["farm"])
    assert [tie for _, tie in lots_of_supply(supply)] == ["surely"]
    assert lots_of_supply(other) == []


def test_what_was_made_of_its_unsealed_jars_is_of_it_too(supply, lot, household):
    again = rows.make_lot(household, 1, sealed=1)
    rows.make_fate(lot, what="reprocessed", new_lot=again)
    assert [(found.pk, tie) for found, tie in lots_of_supply(supply)] == [
        (lot.pk, "surely"),
        (again.pk, "again"),
    ]


# ---- Who, and how much work -----------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_another_coops_lot_and_delivery_are_404(as_outsider, as_member, at, lot, supply):
    assert as_outsider.get(at("lots", lot.pk, "trace")).status_code == 404
    theirs = as_outsider.get(f"/sagebrush/lots/{lot.pk}/trace/")
    assert theirs.status_code == 404
    assert as_outsider.get(f"/sagebrush/trace/delivery/{supply.pk}/").status_code == 404
    assert as_member.get(at("trace", "delivery", 999_999)).status_code == 404


@pytest.mark.sqlite  # about the page alone
def test_only_who_may_warn_is_offered_to(as_member, as_coordinator, at, lot):
    path = at("lots", lot.pk, "trace")
    assert not main_of(as_member.get(path)).select("a[href$='/warn/']")
    assert main_of(as_coordinator.get(path)).select("a[href$='/warn/']")


@pytest.mark.sqlite  # as many queries on any database
def test_more_lots_ask_no_more_queries(as_member, at, lot, load, buy, supply, household, coop):
    def grow(count):
        for _ in range(count):
            made = rows.make_lot(
                factories.make_household(coop), sealed=6, load=load, share=lot.share
            )
            rows.make_taken(made, 1, given_to=household)

    grow(1)
    paths = [at("lots", lot.pk, "trace"), at("trace", "delivery", supply.pk), at("trace")]
    before = []
    for path in paths:
        with CaptureQueriesContext(connection) as few:
            as_member.get(path)
        before.append(len(few))
    grow(12)
    for path, count in zip(paths, before, strict=True):
        with CaptureQueriesContext(connection) as many:
            text = text_of(as_member.get(path))
        assert len(many) == count
        assert "14 lots" in text or text.count("1 given to Castell") >= 13
