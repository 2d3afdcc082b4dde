"""Adding a thing in two steps, and editing it: who may, what is kept, what wrong input gets."""

import pytest

from coop.core.tables import canner_rows, rule_row
from coop.equipment.actions.things import ThingTerms, create_thing, edit_thing
from coop.equipment.errors import NameTaken, Refused
from coop.equipment.kinds import KINDS, ThingKind
from coop.equipment.models import Care, Thing
from coop.people.errors import NotAllowed
from coop.people.models import Change
from tests.web import equipment_factories as rows
from tests.web import factories
from tests.web.factories import NOW
from tests.web.reading import main_of, sections_of, text_of

LIST = "/cottonwood/equipment/things/"
NEW = f"{LIST}new/"
CANNER = f"{NEW}?kind=pressure_canner"


@pytest.fixture
def steward(coop):
    return factories.make_member(
        factories.make_household(coop, "Fujita"), "Kei Fujita", roles=["steward"]
    )


@pytest.fixture
def as_steward(steward, sign_in):
    return sign_in(steward)


def typed_in(client, address, **numbers):
    """What the form would send as it is opened, with `numbers` typed over it."""
    form = main_of(client.get(address)).select_one("form[method=post]")
    assert form is not None
    typed = {}
    for field in form.select("input[name], select[name], textarea[name]"):
        name = str(field["name"])
        if field.get("type") in ("radio", "checkbox"):
            if field.has_attr("checked"):
                typed.setdefault(name, []).append(field["value"])
        elif field.name == "select":
            typed[name] = [each["value"] for each in field.select("option[selected]")] or ""
        else:
            typed[name] = field.get("value", "") or field.get_text().strip()
    asks_gauge = form.select_one("[name=gauge]") is not None and "gauge" not in typed
    return ({"gauge": "weighted"} if asks_gauge else {}) | typed | numbers


def errors_of(response):
    return [each.get_text(" ", strip=True) for each in main_of(response).select(".field-error li")]


# ---- Adding ---------------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_the_first_step_offers_every_kind(as_member):
    links = main_of(as_member.get(NEW)).select(".kind-tile")
    assert [str(link["href"]).partition("kind=")[2] for link in links] == ThingKind.values


@pytest.mark.sqlite  # about the page alone
def test_the_second_step_asks_only_what_matters_for_the_kind(as_member):
    for kind, facts in KINDS.items():
        names = set(typed_in(as_member, f"{NEW}?kind={kind}"))
        fields = {*main_of(as_member.get(f"{NEW}?kind={kind}")).select("[name]")}
        asked = {str(field["name"]) for field in fields}
        of_some = {"gauge", "canner_class", "trays", "watts", "amps_tenths", "btu", "not_on"}
        assert asked & of_some == set(facts.fields) & of_some, kind
        assert "name" in names
        assert "owner" not in names


def test_a_name_is_enough_and_the_kind_proposes_the_rest(as_member, member):
    answer = as_member.post(CANNER, typed_in(as_member, CANNER, name="Big canner"))
    thing = Thing.objects.get()
    assert answer["Location"] == f"{LIST}{thing.pk}/"
    assert (thing.owner, thing.kind, thing.by) == (member.household, "pressure_canner", member)
    facts = KINDS["pressure_canner"]
    assert {part.name: part.count for part in thing.parts.all()} == dict(facts.parts)
    assert thing.turnaround_minutes == facts.turnaround_minutes
    assert [(care.what, care.every_months) for care in thing.cares.all()] == [("gasket", 12)]
    assert "Big canner is on the list." in text_of(as_member.get(answer["Location"]))


def test_everything_that_is_typed_is_kept_in_whole_units(as_steward):
    typed = typed_in(
        as_steward,
        CANNER,
        name="  Canner 2 ",
        owner="",
        home="Grange hall",
        gauge="dial",
        canner_class="large_double_deck",
        weight_tenths="18.5",
        btu="12,000",
        not_on=["smooth", "induction"],
        turnaround_minutes="180",
        longest_minutes="4320",
        fee_cents="$3",
        fee_per="hour",
        deposit_cents="25.50",
        use_note="Three quarts of water.",
        cleaning_note="Dry the gasket.",
    )
    assert as_steward.post(CANNER, typed).status_code == 302
    kept = Thing.objects.values().get()
    assert {name: kept[name] for name in typed if name in kept} == {
        "name": "Canner 2",
        "home": "Grange hall",
        "gauge": "dial",
        "canner_class": "large_double_deck",
        "weight_tenths": 185,
        "btu": 12000,
        "not_on": ["smooth", "induction"],
        "turnaround_minutes": 180,
        "longest_minutes": 3 * 24 * 60,
        "fee_cents": 300,
        "fee_per": "hour",
        "deposit_cents": 2550,
        "use_note": "Three quarts of water.",
        "cleaning_note": "Dry the gasket.",
    }
    assert kept["owner_id"] is None


@pytest.mark.sqlite  # about the page alone
def test_proposed_parts_and_care_can_be_left_out(as_member):
    address = f"{NEW}?kind=freeze_dryer"
    typed = typed_in(as_member, address, name="Dryer", trays="5", part_1="0", cares=["0"])
    assert as_member.post(address, typed).status_code == 302
    thing = Thing.objects.get()
    assert {part.name: part.count for part in thing.parts.all()} == {
        "tray": 5,
        "bottle of pump oil": 1,
    }
    assert [care.what for care in thing.cares.all()] == ["pump oil"]


def test_what_the_kind_does_not_have_is_not_kept(member):
    terms = ThingTerms("Scale", gauge="dial", trays=9, not_on=("gas",), btu=1)
    thing = create_thing("scale", terms, by=member, owner=member.household)
    assert (thing.gauge, thing.trays, thing.not_on, thing.btu) == ("", None, [], None)


# ---- What it holds --------------------------------------------------------------------------
@pytest.mark.sqlite  # about the page alone
def test_sizes_of_canners_are_those_of_the_published_table(as_member):
    """Classes and counts: canners.csv, from USDA15 (guide 1) and those it names."""
    page = main_of(as_member.get(CANNER))
    offered = {
        str(option["value"]): option.get_text()
        for option in page.select("select[name=canner_class] option")
    }
    table = {row.class_ for row in canner_rows() if row.canner_type == "pressure"}
    assert set(offered) == table | {"", "too_small"}
    # USDA15: "about 7 quart jars or 8 to 9 pints" for the standard size.
    assert offered["standard"] == "standard: 7 quarts or 8 to 9 pints"
    # What comes from makers alone says so.
    assert "not USDA" in offered["sold_as_16_quart"]


@pytest.mark.sqlite  # about the page alone
def test_what_holds_fewer_than_four_quarts_is_no_pressure_canner(as_member):
    """USDA15 and WISC21: at least four quart jars, upright on the rack, lid on."""
    assert rule_row("pressure", "minimum_size_quart_jars").value == 4
    typed = typed_in(as_member, CANNER, name="Little pot", canner_class="too_small")
    answer = as_member.post(CANNER, typed)
    assert answer.status_code == 422
    assert "must hold at least 4 quart jars" in errors_of(answer)[0]
    assert "Complete Guide to Home Canning" in errors_of(answer)[0]
    assert not Thing.objects.exists()


# ---- Who may --------------------------------------------------------------------------------
def test_a_member_adds_only_their_own(as_member, member, other_household):
    typed = typed_in(as_member, CANNER, name="Mine", owner=str(other_household.pk))
    as_member.post(CANNER, typed)
    assert Thing.objects.get().owner == member.household


@pytest.mark.parametrize("whose", ["the co-op's", "another's"])
def test_the_act_refuses_a_member_what_is_not_theirs(whose, member, other_household):
    owner = None if whose == "the co-op's" else other_household
    with pytest.raises(NotAllowed):
        create_thing("scale", ThingTerms("Scale"), by=member, owner=owner)


@pytest.mark.parametrize("role", ["steward", "coordinator"])
def test_stewards_and_coordinators_add_the_co_ops_and_anybodys(role, coop, household):
    by = factories.make_member(factories.make_household(coop), roles=[role])
    assert create_thing("scale", ThingTerms("One"), by=by, owner=None).owner is None
    assert create_thing("scale", ThingTerms("Two"), by=by, owner=household).owner == household


@pytest.mark.parametrize("role", ["treasurer", "host"])
def test_other_roles_keep_no_things(role, coop):
    by = factories.make_member(factories.make_household(coop), roles=[role])
    with pytest.raises(NotAllowed):
        create_thing("scale", ThingTerms("One"), by=by, owner=None)


def test_a_household_that_left_owns_nothing_new(steward, other_household):
    other_household.left_at = NOW
    with pytest.raises(Refused) as refusal:
        create_thing("scale", ThingTerms("One"), by=steward, owner=other_household)
    assert refusal.value.field == "owner"


@pytest.mark.sqlite  # about the page alone
def test_pages_answer_each_of_the_cast(
    as_member, as_other_household_member, as_coordinator, as_outsider, as_stranger, household
):
    thing = rows.make_thing(owner=household)
    own = [f"{LIST}{thing.pk}/{page}" for page in ("edit/", "hours/", "parts/", "photos/add/")]
    for address in own:
        answers = [
            client.get(address).status_code
            for client in (
                as_member,
                as_coordinator,
                as_other_household_member,
                as_outsider,
                as_stranger,
            )
        ]
        assert answers == [200, 200, 403, 404, 404], address
    for address in (f"{LIST}{thing.pk}/", f"{LIST}{thing.pk}/sheet/", LIST):
        assert as_other_household_member.get(address).status_code == 200
        assert as_outsider.get(address).status_code == 404


# ---- Editing --------------------------------------------------------------------------------
def test_editing_keeps_what_was_and_what_is(as_member, member):
    thing = rows.make_dial_canner(
        owner=member.household, name="Old name", canner_class="standard", fee_cents=300
    )
    address = f"{LIST}{thing.pk}/edit/"
    typed = typed_in(as_member, address)
    assert (typed["name"], typed["gauge"], typed["fee_cents"]) == ("Old name", ["dial"], "3.00")
    answer = as_member.post(address, typed | {"name": "New name", "fee_cents": ""})
    assert answer["Location"] == f"{LIST}{thing.pk}/"
    thing.refresh_from_db()
    assert (thing.name, thing.canner_class, thing.fee_cents) == ("New name", "standard", 0)
    change = Change.objects.get(about=f"thing:{thing.pk}")
    assert change.sentence == "Changed: name and fee."
    assert (change.before, change.after) == (
        {"name": "Old name", "fee_cents": 300},
        {"name": "New name", "fee_cents": 0},
    )


def test_editing_nothing_writes_nothing(as_member, member):
    thing = rows.make_dial_canner(owner=member.household, not_on=["smooth"], btu=12000)
    address = f"{LIST}{thing.pk}/edit/"
    assert as_member.post(address, typed_in(as_member, address)).status_code == 302
    assert not Change.objects.filter(about=f"thing:{thing.pk}").exists()


def test_a_length_that_is_not_offered_stays_as_it_is(as_member, member):
    thing = rows.make_thing(
        owner=member.household, turnaround_minutes=37, longest_minutes=1000, kind="scale"
    )
    address = f"{LIST}{thing.pk}/edit/"
    as_member.post(address, typed_in(as_member, address, name="Scale"))
    thing.refresh_from_db()
    assert (thing.name, thing.turnaround_minutes, thing.longest_minutes) == ("Scale", 37, 1000)


def test_only_a_steward_gives_a_thing_another_owner(member, steward, other_household):
    thing = rows.make_thing(kind="scale", owner=member.household)
    terms = ThingTerms(thing.name)
    with pytest.raises(NotAllowed):
        edit_thing(thing.pk, terms, by=member, owner=None)
    assert edit_thing(thing.pk, terms, by=steward, owner=other_household).owner == other_household


def test_an_owner_who_has_left_stays_until_another_is_chosen(as_steward, other_household):
    thing = rows.make_thing(owner=other_household)
    other_household.left_at = NOW
    other_household.save()
    address = f"{LIST}{thing.pk}/edit/"
    as_steward.post(address, typed_in(as_steward, address, home="Barn"))
    thing.refresh_from_db()
    assert (thing.home, thing.owner) == ("Barn", other_household)


@pytest.mark.parametrize("field", ["fee_cents", "deposit_cents", "owner"])
def test_terms_of_money_and_the_owner_stay_while_somebody_has_it(
    member, steward, household, other_household, field
):
    thing = rows.make_thing(kind="scale", owner=household)
    rows.make_out(rows.make_booking(thing, other_household, start=NOW - rows.HOUR))
    terms = ThingTerms(thing.name, **{field: 500} if field != "owner" else {})
    owner = other_household if field == "owner" else household
    with pytest.raises(Refused, match="Dufresne has it now") as refusal:
        edit_thing(thing.pk, terms, by=steward, owner=owner)
    assert refusal.value.field == field


def test_the_kind_of_gauge_stays_while_the_dial_waits_for_a_test(member, household):
    thing = rows.make_dial_canner(owner=household)
    rows.make_fault(thing, what="gauge_off")
    with pytest.raises(Refused, match="waits for a test"):
        edit_thing(thing.pk, ThingTerms(thing.name, gauge="weighted"), by=member, owner=household)


def test_a_pressure_canner_says_which_gauge_it_has(as_member, member):
    typed = typed_in(as_member, CANNER, name="Big canner")
    del typed["gauge"]
    assert as_member.post(CANNER, typed).status_code == 422
    with pytest.raises(Refused, match="which gauge"):
        create_thing("pressure_canner", ThingTerms("Big canner"), by=member, owner=member.household)


@pytest.mark.sqlite  # about the page alone
def test_the_page_says_that_a_pressure_canner_needs_its_gauge(as_member):
    page = main_of(as_member.get(CANNER))
    assert "A name and its gauge are enough." in page.text
    [gauge] = [each.text for each in page.select("legend") if each.text.startswith("Gauge")]
    assert gauge == "Gauge"
    mill = main_of(as_member.get(CANNER.replace("pressure_canner", "mill")))
    assert "A name is enough." in mill.text


# ---- Wrong input ----------------------------------------------------------------------------
def test_a_name_that_is_taken_is_refused_whatever_its_case(as_member, member, coop):
    rows.make_thing(coop, name="Big canner")
    typed = typed_in(as_member, CANNER, name="BIG CANNER", home="Barn")
    answer = as_member.post(CANNER, typed)
    assert answer.status_code == 422
    assert "A thing of that name is on the list." in errors_of(answer)[0]
    assert main_of(answer).select_one("input[name=home]")["value"] == "Barn"


def test_the_name_of_a_retired_thing_is_free(member, coop):
    rows.make_thing(coop, name="Canner", retired_at=NOW)
    create_thing("scale", ThingTerms("Canner"), by=member, owner=member.household)
    with pytest.raises(NameTaken):
        create_thing("scale", ThingTerms("canner"), by=member, owner=member.household)


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "   ", "Give it a name."),
        ("name", "x" * 81, "at most 80 characters"),
        ("weight_tenths", "heavy", "Write it in figures, like 12.5."),
        ("weight_tenths", "18.55", "One decimal at most, like 12.5."),
        ("weight_tenths", "0", "cannot be less than 0.1 lb"),
        ("btu", "-5", "cannot be less than 1 BTU"),
        ("btu", "12.5", "Whole numbers only"),
        ("btu", "999999999999999999999", "cannot be more than 400000 BTU"),
        ("gauge", "digital", "Select a valid choice"),
        ("canner_class", "huge", "Select a valid choice"),
        ("not_on", ["campfire"], "Select a valid choice"),
        ("turnaround_minutes", "7", "Choose one of the lengths on the list."),
        ("longest_minutes", "0", "Choose one of the lengths on the list."),
        ("fee_cents", "-1", "cannot be less than"),
        ("deposit_cents", "1e9", "Write it in figures"),
        ("fee_per", "week", "Select a valid choice"),
        ("part_0", "501", "cannot be more than 500 pieces"),
        ("cares", ["9"], "Select a valid choice"),
        ("use_note", "x" * 2001, "at most 2000 characters"),
    ],
)
def test_wrong_input_is_told_at_its_field_and_nothing_is_saved(as_member, field, typed, sentence):
    answer = as_member.post(CANNER, typed_in(as_member, CANNER, **{"name": "Canner", field: typed}))
    assert answer.status_code == 422
    assert any(sentence in error for error in errors_of(answer)), errors_of(answer)
    assert not Thing.objects.exists()
    assert not Care.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_an_unknown_kind_is_no_page_to_send_a_form_to(as_member):
    assert as_member.post(f"{NEW}?kind=spaceship", {"name": "X"}).status_code == 404
    assert as_member.post(NEW, {"name": "X"}).status_code == 404
    assert as_member.get(f"{NEW}?kind=spaceship").status_code == 200
    assert not Thing.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_canner_says_on_its_page_what_a_load_holds_and_who_says_so(as_member, coop):
    thing = rows.make_dial_canner(coop, canner_class="standard")
    said = sections_of(as_member.get(f"{LIST}{thing.pk}/"))["What it is"]
    # USDA15: 7 quarts, 8 to 9 pints.
    assert "A load holds standard: 7 quarts or 8 to 9 pints" in said
    assert "Complete Guide to Home Canning" in said
