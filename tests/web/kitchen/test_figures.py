"""From a use to its figures, against what is printed.

Source of the figures unless said otherwise: Complete Guide to Home Canning, Agriculture Information
Bulletin 539, USDA National Institute of Food and Agriculture, revised 2015.
"""

from fractions import Fraction

import pytest

from coop.jars.queries.stock import stock_of
from coop.kitchen.models import Kitchen, Plan, Use
from coop.kitchen.queries.figures import figures_of, figures_of_plan
from coop.kitchen.queries.lacking import shortage_of
from coop.kitchen.queries.plans import plans_in
from coop.kitchen.queries.plates import hours_said, sheet_of
from tests.web.factories import NOW
from tests.web.kitchen_factories import make_count, make_kitchen, make_outcome, make_plan, make_use

MESA_FT = 4680
CORN = {
    "way": "can",
    "product": "whole_kernel",
    "pack": "hot",
    "method": "dial_gauge",
    "jar": "quart",
}
JUICE = CORN | {"product": "juice"}


def unsaved(produce="sweet_corn", **fields):
    """A use that is in no database: figures need none."""
    return Use(plan=Plan(produce=produce, tenths=700), **{"tenths": 700} | CORN | fields)


@pytest.mark.sqlite  # about the page alone
def test_seventy_pounds_of_corn_at_4680_feet():
    # Corn, whole kernel: quarts 85 minutes at 13 psi on a dial gauge from 4,001 to 6,000 ft,
    # headspace 1 inch; 31 1/2 lb in the husk a canner load of 7 quarts; 6 to 11 quarts a bushel
    # of 35 lb.
    figures = figures_of(unsaved(), MESA_FT)
    assert (figures.process.minutes, figures.process.psi) == (85, 13)
    assert figures.process.headspace_in == 1
    assert (figures.jars_low, figures.jars_likely, figures.jars_high) == (12, 15, 22)
    assert (figures.batch.loads, figures.batch.last_load, figures.lids) == (3, 1, 15)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("altitude_ft", "fields", "printed"),
    [
        (1000, {}, (85, 11)),
        (4680, {"jar": "pint"}, (55, 13)),
        (8000, {}, (85, 14)),
        (1000, {"method": "weighted_gauge"}, (85, 10)),
        (1001, {"method": "weighted_gauge"}, (85, 15)),
    ],
)
def test_corn_at_other_altitudes_and_in_other_canners_as_printed(altitude_ft, fields, printed):
    process = figures_of(unsaved(**fields), altitude_ft).process
    assert (process.minutes, process.psi) == printed


@pytest.mark.sqlite  # about the page alone
def test_where_the_table_ends_there_are_no_minutes_and_no_jars():
    figures = figures_of(unsaved(), 8001)
    assert figures.process is figures.batch is None
    assert (figures.jars_likely, figures.lids) == (0, 0)
    assert "ends at 8,000 ft" in figures.refused.sentence
    assert figures.refused.nearest[0].method == "weighted_gauge"


@pytest.mark.sqlite  # about the page alone
def test_the_kind_of_jar_has_its_mouth():
    assert figures_of(unsaved(mouth="wide"), MESA_FT).kind == "quart_wide"


@pytest.mark.sqlite  # about the page alone
def test_tomatoes_without_acid_are_missing_something():
    figures = figures_of(unsaved("tomato", **JUICE), MESA_FT)
    assert figures.acid is None
    assert "must have acid in every jar" in figures.missing


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("acid", "each"),
    # Acidification: 2 tablespoons of bottled lemon juice or 1/2 teaspoon of citric acid a quart.
    [
        ("bottled_lemon_juice", (2, "tablespoon")),
        ("citric_acid", (Fraction(1, 2), "teaspoon")),
        ("vinegar_5_percent", (4, "tablespoon")),
    ],
)
def test_the_acid_of_a_quart_of_tomatoes(acid, each):
    figures = figures_of(unsaved("tomato", **JUICE, acid=acid), MESA_FT)
    assert (figures.acid_each.amount, figures.acid_each.unit) == each
    assert figures.acid.amount == each[0] * figures.jars_likely
    assert not figures.missing


@pytest.mark.sqlite  # about the page alone
def test_vinegar_in_pints_has_no_printed_amount():
    figures = figures_of(
        unsaved("tomato", **JUICE | {"jar": "pint"}, acid="vinegar_5_percent"), MESA_FT
    )
    assert figures.acid is None
    assert "No amount of vinegar" in figures.missing


@pytest.mark.sqlite  # about the page alone
def test_syrup_for_seven_quarts_is_one_printed_load():
    # Light syrup, 7-quart load: 9 cups of water and 2 1/4 of sugar; peaches 17 1/2 lb a load.
    peaches = {"product": "halved_or_sliced", "method": "boiling_water", "syrup": "light"}
    figures = figures_of(unsaved("peaches", tenths=175, **peaches), MESA_FT)
    assert figures.jars_likely == 7
    assert (figures.syrup.water_cups, figures.syrup.sugar_cups) == (9, Fraction(9, 4))


@pytest.mark.sqlite  # about the page alone
def test_salt_is_there_only_when_it_is_wanted():
    assert figures_of(unsaved(), MESA_FT).salt is None
    # One teaspoon of salt a quart, for taste.
    assert figures_of(unsaved(salt=True), MESA_FT).salt.amount == 15


@pytest.mark.sqlite  # about the page alone
def test_what_is_planned_by_the_jar_is_no_estimate():
    relish = {"product": "pickled_corn_relish", "method": "boiling_water", "jar": "pint"}
    figures = figures_of(unsaved(**relish, tenths=0, jars=9), MESA_FT)
    assert figures.is_sure
    assert (figures.jars_low, figures.jars_likely, figures.jars_high) == (9, 9, 9)


@pytest.mark.sqlite  # about the page alone
def test_frozen_corn_says_containers_and_blanching():
    # Whole kernel corn, 4 minutes in boiling water; 14 to 17 frozen pints a bushel of 35 lb
    # (Michigan State University Extension; University of Maine Extension bulletin 4048).
    figures = figures_of(unsaved(way="freeze", jar="pint", tenths=350), MESA_FT)
    assert (figures.jars_low, figures.jars_high, figures.blanch_minutes) == (14, 17, 4)
    assert figures.kind is None
    assert figures.lids == 0


@pytest.mark.sqlite  # about the page alone
def test_frozen_without_a_yield_keeps_its_blanching():
    ears = {"way": "freeze", "product": "cob_small_ears", "jar": "quart"}
    figures = figures_of(unsaved(**ears, tenths=0, jars=6), MESA_FT)
    assert (figures.jars_likely, figures.blanch_minutes, figures.freeze) == (6, 7, None)


@pytest.mark.sqlite  # about the page alone
def test_dried_apples_say_trays_and_hours():
    # Apples, rings of 1/8 inch: 6 to 12 hours at 140 F (Missouri State University Extension).
    apples = {"way": "dry", "product": "slices_or_rings_0.125_in", "jar": "", "tray_tenths": 15}
    figures = figures_of(unsaved("apples", tenths=100, **apples), MESA_FT)
    assert (figures.dry.trays, figures.dry.hours_low, figures.dry.hours_high) == (7, 6, 12)


@pytest.mark.sqlite  # about the page alone
def test_hours_are_said_as_a_cook_says_them():
    assert hours_said(420, 555) == "7 h to 9 h 15 min"
    assert hours_said(45, 55) == "45 to 55 min"


def test_the_altitude_is_that_of_the_kitchen_else_of_the_coop(coop, household):
    coop.altitude_ft = 900
    coop.save()
    high = make_kitchen(coop, altitude_ft=5430)
    plans = [make_plan(household), make_plan(household, kitchen=high)]
    for plan in plans:
        make_use(plan)
    found = {plan.pk: figures_of_plan(plan)[0].process.psi for plan in plans_in(coop)}
    assert [found[plan.pk] for plan in plans] == [11, 13]
    assert Kitchen.objects.count() == 1


@pytest.mark.sqlite  # as many queries on any database
def test_many_plans_cost_no_more_queries_than_one(coop, household, django_assert_num_queries):
    for count in range(3):
        plan = make_plan(household, kitchen=make_kitchen(coop))
        for _ in range(count):
            make_outcome(make_use(plan))
    with django_assert_num_queries(3):
        assert len([sheet_of(plan) for plan in plans_in(coop)]) == 3


def test_what_is_lacking_is_told_against_the_count(household):
    make_count(household, {"quart_wide": (0, 10, 0)}, lids={"wide": (12, 20)})
    plan = make_plan(household)
    make_use(plan, 700, mouth="wide")  # 15 quarts are likely, as above
    sheet = sheet_of(plan)
    shortage = shortage_of(sheet, stock_of(household), NOW)
    assert [(need.said, need.lacking) for need in shortage.needs] == [
        ("quart, wide mouth", 5),
        ("new lids, wide mouth", 3),
        ("bands, wide mouth", 0),
    ]


def test_what_is_put_up_wants_no_jars_any_more(household):
    plan = make_plan(household)
    make_outcome(make_use(plan))
    plan = plans_in(household.coop).get(pk=plan.pk)
    assert shortage_of(sheet_of(plan), stock_of(household), NOW) is None
