"""Every published way for a plan's produce; a use added, changed, removed."""

import pytest

from coop.kitchen.actions.uses import UseTerms, add_use
from coop.kitchen.errors import NeedsAcid, NotPublished
from coop.kitchen.models import Use, Way
from coop.kitchen.queries.ways import WayKey, load_choices, produce_keys, usual_load, ways_at
from tests.web.factories import make_household
from tests.web.kitchen_factories import make_kitchen, make_lot, make_outcome, make_plan, make_use
from tests.web.reading import main_of, text_of

CORN = WayKey(Way.CAN, "whole_kernel", pack="hot", method="dial_gauge", jar="quart")
JUICE = WayKey(Way.CAN, "juice", pack="hot", method="dial_gauge", jar="quart")
RELISH = WayKey(Way.CAN, "pickled_corn_relish", pack="hot", method="boiling_water", jar="pint")
LEMON = {"acid": "bottled_lemon_juice"}


@pytest.fixture
def plan(household, coop):
    """Two bushels of corn at 4,680 ft."""
    coop.altitude_ft = 4680
    coop.save()
    return make_plan(household)


def add_address(plan, key):
    return f"/cottonwood/plans/{plan.pk}/uses/add/?{key.query}"


def typed(**fields):
    """What the form of a canned use sends."""
    load = {"how_much": "all", "mouth": "regular", "load": "7", "jars_per_load": ""}
    return {"pounds": ""} | load | fields


def choices(page, field):
    return [each["value"] for each in main_of(page).select(f"input[name={field}]")]


# ---- The ways -------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_every_way_stands_with_its_minutes_and_pressure_at_the_altitude(as_member, plan):
    said = text_of(as_member.get(f"/cottonwood/plans/{plan.pk}/uses/"))
    # USDA Complete Guide to Home Canning, 2015: whole kernel corn at 4,001 to 6,000 ft.
    assert "Quarts, hot pack Pressure canner, dial gauge: 85 minutes at 13 psi" in said
    assert "Pints, raw pack Pressure canner, weighted gauge: 55 minutes at 15 psi" in said
    assert "Into the freezer Whole kernel Blanch 4 minutes" in said
    assert "Dried Kernels cut after blanching" in said


@pytest.mark.sqlite  # about the page alone
def test_each_way_has_one_act(as_member, plan):
    page = main_of(as_member.get(f"/cottonwood/plans/{plan.pk}/uses/"))
    assert page.select_one(f"a[href='{add_address(plan, CORN)}']")
    assert len(page.select(".row")) == len(page.select(".row a.button")) == 17


def test_options_of_tomatoes_are_rows_of_their_own():
    rows = {
        row.key.option: (row.process.minutes, row.process.psi)
        for group in ways_at("tomato", 4680).canned
        for row in group.rows
        if row.key.product == "juice" and row.key.method == "dial_gauge" and row.key.jar == "quart"
    }
    # USDA Complete Guide to Home Canning, 2015, tomato juice, dial gauge, 4,001 to 6,000 ft:
    # 20 minutes at 8 psi or 15 minutes at 13 psi.
    assert rows == {1: (20, 8), 2: (15, 13)}


@pytest.mark.sqlite  # about the page alone
def test_what_is_never_canned_says_so_and_what_else_is_published(as_member, household):
    said = text_of(as_member.get(f"/cottonwood/plans/{make_plan(household, 'broccoli').pk}/uses/"))
    assert "There is no tested process for canning broccoli at any altitude" in said
    assert "extension office" in said
    assert "Florets" in said


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(("altitude_ft", "is_said"), [(8000, False), (8001, True)])
def test_the_ways_say_which_canner_has_no_row_any_more(as_member, household, altitude_ft, is_said):
    # USDA Complete Guide to Home Canning, 2015: the rows of a dial gauge end at 8,000 ft.
    kitchen = make_kitchen(household.coop, household=household, altitude_ft=altitude_ft)
    plan = make_plan(household, kitchen=kitchen)
    said = text_of(as_member.get(f"/cottonwood/plans/{plan.pk}/uses/"))
    assert ("For a dial gauge the published table ends at 8,000 ft." in said) == is_said


@pytest.mark.sqlite  # about the page alone
def test_whoever_may_not_act_reads_the_ways_without_buttons(as_other_household_member, plan):
    page = main_of(as_other_household_member.get(f"/cottonwood/plans/{plan.pk}/uses/"))
    assert page.select(".row")
    assert not page.select(".row a.button")


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("altitude_ft", (0, 4680, 9000))
def test_every_way_of_every_produce_can_be_asked_for(altitude_ft):
    visited = 0
    for produce in produce_keys():
        found = ways_at(produce, altitude_ft)
        visited += sum(len(group.rows) for group in found.canned)
        assert bool(found.canned) != bool(found.none)
    assert visited > 200


def test_the_loads_are_those_of_the_published_canners():
    # USDA Complete Guide to Home Canning, 2015: 7 quarts or 8 to 9 pints in a standard canner, 18
    # pints in a large one in two layers.
    assert [each.jars for each in load_choices("dial_gauge", "quart")] == [4, 7]
    assert {8, 9, 18} <= {each.jars for each in load_choices("weighted_gauge", "pint")}
    assert [each.jars for each in load_choices("boiling_water", "pint")] == [8, 9]
    assert (usual_load("dial_gauge", "pint"), usual_load("boiling_water", "half_pint")) == (9, None)


# ---- Adding ---------------------------------------------------------------------------------
def test_all_half_and_so_many_pounds(as_member, plan):
    address = add_address(plan, CORN)
    as_member.post(address, typed(how_much="half"))
    as_member.post(address, typed(how_much="some", pounds="17.5"))
    as_member.post(address, typed(how_much="all"))
    assert list(plan.uses.values_list("tenths", flat=True)) == [350, 175, 175]


def test_a_use_keeps_what_was_chosen(as_member, plan):
    answer = as_member.post(add_address(plan, CORN), typed(mouth="wide", load="4", salt="on"))
    use = plan.uses.get()
    assert answer.url == f"/cottonwood/plans/{plan.pk}/"
    assert (use.mouth, use.jars_per_load, use.salt, use.position) == ("wide", 4, True, 0)
    assert (use.pack, use.method, use.jar, use.option) == ("hot", "dial_gauge", "quart", 1)


def test_another_number_of_jars_to_a_load(as_member, plan):
    as_member.post(add_address(plan, CORN), typed(load="other", jars_per_load="14"))
    assert plan.uses.get().jars_per_load == 14


def test_corn_in_two_uses_at_once(as_member, plan):
    frozen = WayKey(Way.FREEZE, "whole_kernel")
    as_member.post(add_address(plan, CORN), typed(how_much="half"))
    as_member.post(add_address(plan, frozen), {"how_much": "all", "pounds": "", "jar": "pint"})
    uses = plan.uses.values_list("way", "jar", "tenths", "position")
    assert list(uses) == [("can", "quart", 350, 0), ("freeze", "pint", 350, 1)]


def test_dried_food_asks_for_its_tray(as_member, plan):
    address = add_address(plan, WayKey(Way.DRY, "kernels_cut_after_blanching"))
    assert as_member.post(address, {"how_much": "all"}).status_code == 422
    as_member.post(address, {"how_much": "all", "tray_tenths": "1.5"})
    assert plan.uses.get().tray_tenths == 15


def test_what_has_no_yield_is_planned_by_the_jar(as_member, plan):
    page = as_member.get(add_address(plan, RELISH))
    assert not main_of(page).select("input[name=pounds]")
    as_member.post(add_address(plan, RELISH), typed(load="9", jars="9"))
    use = plan.uses.get()
    assert (use.tenths, use.jars) == (0, 9)


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"how_much": "some"}, "Say how many pounds"),
        ({"how_much": "some", "pounds": "0"}, "cannot be less than"),
        ({"how_much": "some", "pounds": "lots"}, "Write it in figures"),
        ({"how_much": "none"}, "Select a valid choice"),
        ({"how_much": ""}, "Say how much of it goes this way"),
        ({"mouth": "narrow"}, "Select a valid choice"),
        ({"load": "0"}, "Select a valid choice"),
        ({"load": "other"}, "Say how many jars a load holds"),
        ({"load": "other", "jars_per_load": "0"}, "a whole number from 1 to 60"),
        ({"load": "other", "jars_per_load": "61"}, "a whole number from 1 to 60"),
    ],
)
def test_what_is_typed_wrongly_says_why(as_member, plan, fields, said):
    answer = as_member.post(add_address(plan, CORN), typed(**fields))
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert not Use.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_field_of_pounds_says_what_of(as_member, plan):
    page = main_of(as_member.get(add_address(plan, CORN)))
    assert page.select_one("label[for=id_pounds]").text == "Pounds of it"
    assert "So many" not in text_of(as_member.get(add_address(plan, CORN)))


@pytest.mark.parametrize(("tenths", "is_all"), [(700, True), (350, False)])
def test_where_all_is_planned_another_use_is_told_to_need_more(as_member, plan, tenths, is_all):
    make_use(plan, tenths)
    page = as_member.get(f"/cottonwood/plans/{plan.pk}/")
    assert ("Another use would need more" in text_of(page)) == is_all
    assert bool(main_of(page).find("a", string="Plan the rest")) != is_all


# ---- Acid -----------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_tomatoes_are_never_planned_without_acid(as_member, household, member):
    plan = make_plan(household, "tomato")
    answer = as_member.post(add_address(plan, JUICE), typed())
    assert answer.status_code == 422
    assert "Acid, into every jar : Choose one: without it the jar is not safe." in text_of(answer)
    with pytest.raises(NeedsAcid):
        add_use(plan.pk, JUICE, UseTerms(tenths=100), by=member)
    assert not Use.objects.exists()


def test_acid_is_asked_for_whatever_the_canner_and_the_option(household):
    plan = make_plan(household, "tomato")
    products = {"crushed", "juice", "sauce_thin", "sauce_thick"}
    rows = [
        row
        for group in ways_at("tomato", 4680).canned
        for row in group.rows
        if row.key.product in products
    ]
    assert len(rows) == 40
    for row in rows:
        with pytest.raises(NeedsAcid):
            add_use(plan.pk, row.key, UseTerms(tenths=100), by=household.members.first() or plan.by)


@pytest.mark.sqlite  # about the page alone
def test_vinegar_is_offered_for_quarts_and_not_for_pints(as_member, household, member):
    plan = make_plan(household, "tomato")
    pints = JUICE.in_jar("pint")
    quart, pint = (as_member.get(add_address(plan, key)) for key in (JUICE, pints))
    assert choices(quart, "acid") == ["bottled_lemon_juice", "citric_acid", "vinegar_5_percent"]
    assert choices(pint, "acid") == ["bottled_lemon_juice", "citric_acid"]
    with pytest.raises(NeedsAcid, match="No amount of vinegar"):
        add_use(plan.pk, pints, UseTerms(tenths=100, acid="vinegar_5_percent"), by=member)


@pytest.mark.sqlite  # about the page alone
def test_a_tomato_plate_says_its_acid_and_without_it_no_minutes(as_member, household):
    plan = make_plan(household, "tomato")
    use = make_use(plan, product="juice", acid="citric_acid")
    page = f"/cottonwood/plans/{plan.pk}/"
    # USDA Complete Guide to Home Canning, 2015: 1/2 teaspoon of citric acid a quart.
    assert "1/2 teaspoon of citric acid into each jar" in text_of(as_member.get(page))
    Use.objects.filter(pk=use.pk).update(acid="")
    said = text_of(as_member.get(page))
    assert "must have acid in every jar" in said
    assert " min at " not in said


# ---- What is not published ------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    "key",
    [
        CORN.in_jar("half_gallon"),
        WayKey(Way.CAN, "whole_kernel", pack="hot", method="boiling_water", jar="quart"),
        WayKey(Way.CAN, "jam", pack="hot", method="boiling_water", jar="pint"),
        WayKey(Way.FREEZE, "mashed"),
        WayKey(Way.DRY, "whole"),
    ],
)
def test_a_way_that_is_not_published_is_refused_on_the_page_and_in_the_act(
    as_member, member, plan, key
):
    answer = as_member.get(add_address(plan, key))
    assert answer.status_code == 404
    assert "extension office" in text_of(answer)
    assert as_member.post(add_address(plan, key), typed()).status_code == 404
    with pytest.raises(NotPublished):
        add_use(plan.pk, key, UseTerms(tenths=100, tray_tenths=15), by=member)
    assert not Use.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_the_nearest_published_ways_are_shown(as_member, plan):
    key = WayKey(Way.CAN, "whole_kernel", pack="hot", method="boiling_water", jar="quart")
    said = text_of(as_member.get(add_address(plan, key)))
    assert "only in a pressure canner" in said
    assert (
        "Whole kernel: Quarts, hot pack Pressure canner, dial gauge: 85 minutes at 13 psi" in said
    )


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    "query", ("", "?way=boil&product=x", "?way=can", "?way=can&product=x&option=9")
)
def test_an_address_that_names_no_way_leads_to_all_of_them(as_member, plan, query):
    answer = as_member.get(f"/cottonwood/plans/{plan.pk}/uses/add/{query}")
    assert answer.url == f"/cottonwood/plans/{plan.pk}/uses/"


# ---- Changing and removing ------------------------------------------------------------------
def test_changing_counts_what_the_use_itself_has_as_left(as_member, plan):
    make_use(plan, 500)
    use = make_use(plan, 200)
    page = as_member.get(f"/cottonwood/uses/{use.pk}/edit/")
    assert "All that is left, 20 lb" in text_of(page)
    as_member.post(
        f"/cottonwood/uses/{use.pk}/edit/", typed(how_much="some", pounds="12", mouth="wide")
    )
    use.refresh_from_db()
    assert (use.tenths, use.mouth, use.product) == (120, "wide", "whole_kernel")


def test_a_use_that_has_no_row_any_more_cannot_be_changed(as_member, coop, plan):
    use = make_use(plan)
    coop.altitude_ft = 9000
    coop.save()
    for answer in (
        as_member.get(f"/cottonwood/uses/{use.pk}/edit/"),
        as_member.post(f"/cottonwood/uses/{use.pk}/edit/", typed()),
    ):
        assert answer.status_code == 409
        assert "ends at 8,000 ft" in text_of(answer)


def test_removing_a_use(as_member, plan):
    use = make_use(plan)
    assert as_member.get(f"/cottonwood/uses/{use.pk}/remove/").status_code == 405
    answer = as_member.post(f"/cottonwood/uses/{use.pk}/remove/")
    assert answer.url == f"/cottonwood/plans/{plan.pk}/"
    assert not Use.objects.exists()
    assert as_member.post(f"/cottonwood/uses/{use.pk}/remove/").status_code == 404


def test_what_was_put_up_is_neither_changed_nor_removed(as_member, household, plan):
    done, in_jars = make_use(plan), make_use(plan)
    make_outcome(done)
    make_lot(household, use=in_jars)
    assert as_member.post(f"/cottonwood/uses/{done.pk}/edit/", typed()).status_code == 409
    assert as_member.post(f"/cottonwood/uses/{done.pk}/remove/").status_code == 409
    assert as_member.post(f"/cottonwood/uses/{in_jars.pk}/remove/").status_code == 409
    assert Use.objects.count() == 2


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("who", ("as_other_household_member", "as_treasurer"))
def test_others_cannot_add_change_or_remove(request, who, plan):
    client, use = request.getfixturevalue(who), make_use(plan)
    assert client.get(add_address(plan, CORN)).status_code == 403
    assert client.post(add_address(plan, CORN), typed()).status_code == 403
    assert client.post(f"/cottonwood/uses/{use.pk}/edit/", typed()).status_code == 403
    assert client.post(f"/cottonwood/uses/{use.pk}/remove/").status_code == 403
    assert list(Use.objects.values_list("tenths", flat=True)) == [use.tenths]


def test_a_coordinator_adds_on_their_behalf(as_coordinator, plan):
    as_coordinator.post(add_address(plan, CORN), typed())
    assert plan.uses.count() == 1


def test_another_coops_use_is_404(as_member, other_coop):
    use = make_use(make_plan(make_household(other_coop)))
    for end in ("edit/", "remove/", "outcome/"):
        assert as_member.post(f"/cottonwood/uses/{use.pk}/{end}", typed()).status_code == 404
