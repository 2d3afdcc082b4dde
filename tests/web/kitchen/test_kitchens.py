"""Kitchens are kept by hosts and coordinators, one's own by oneself; their altitude decides."""

import pytest
from django.db import DatabaseError, transaction

from coop.kitchen.actions.plans import PlanTerms, make_plan
from coop.kitchen.errors import Refused
from coop.kitchen.models import Kitchen, Plan
from coop.people.models import Change
from tests.web import factories
from tests.web.kitchen_factories import make_kitchen
from tests.web.reading import main_of, text_of

GRANGE = {"name": "Grange kitchen", "altitude_ft": "4680", "address": "Grange Court", "note": ""}


@pytest.fixture
def address(coop):
    return f"/{coop.slug}/kitchens/"


@pytest.fixture
def as_host(coop, sign_in):
    return sign_in(factories.make_member(factories.make_household(coop), roles=["host"]))


def test_a_host_adds_a_kitchen(as_host, address):
    response = as_host.post(f"{address}add/", GRANGE, follow=True)
    assert "4,680 ft, Grange Court" in text_of(response)
    assert Change.objects.filter(about=f"kitchen:{Kitchen.objects.get().pk}").count() == 1


def test_a_coordinator_changes_one_and_history_keeps_both(as_coordinator, coop, address):
    kitchen = make_kitchen(coop, altitude_ft=4000)
    as_coordinator.post(f"{address}{kitchen.pk}/", GRANGE | {"altitude_ft": "4680"})
    kitchen.refresh_from_db()
    assert (kitchen.name, kitchen.altitude_ft) == ("Grange kitchen", 4680)
    change = Change.objects.get(about=f"kitchen:{kitchen.pk}")
    assert (change.before["altitude_ft"], change.after["altitude_ft"]) == (4000, 4680)


def test_others_see_them_and_may_not_change_them(as_member, coop, address):
    kitchen = make_kitchen(coop, "Grange")
    assert "Grange" in text_of(as_member.get(address))
    assert "Edit" not in text_of(as_member.get(address))
    for act in (f"{kitchen.pk}/", f"{kitchen.pk}/retire/"):
        response = as_member.post(f"{address}{act}", GRANGE)
        assert response.status_code == 403
        assert "Hosts and coordinators" in text_of(response)
    assert Kitchen.objects.get().name == "Grange"


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("name", ""),
        ("name", "x" * 81),
        ("altitude_ft", ""),
        ("altitude_ft", "high"),
        ("altitude_ft", "15001"),
        ("altitude_ft", "-1401"),
        ("altitude_ft", "4680.5"),
        ("note", "x" * 401),
    ],
)
def test_wrong_input_is_kept_with_what_is_wrong(as_host, address, field, typed):
    response = as_host.post(f"{address}add/", GRANGE | {field: typed})
    assert response.status_code == 422
    assert main_of(response).select(f"#id_{field}_error")
    if field == "altitude_ft":
        # The minus of the page is the typographic one.
        said = "Write the altitude in feet, a whole number from \N{MINUS SIGN}1,400 to 15,000."
        assert said in text_of(response)
    assert main_of(response).find(attrs={"name": "address"})["value"] == "Grange Court"
    assert not Kitchen.objects.exists()


def test_a_name_is_taken_once_whatever_its_letters(as_host, coop, address):
    make_kitchen(coop, "grange KITCHEN")
    response = as_host.post(f"{address}add/", GRANGE)
    assert response.status_code == 422
    assert "A kitchen of that name is on the list." in text_of(response)


def test_off_the_list_twice_is_off_the_list(as_host, coop, address):
    kitchen = make_kitchen(coop, "Grange")
    for _ in range(2):
        page = as_host.post(f"{address}{kitchen.pk}/retire/", follow=True)
        assert "Grange is off the list." in text_of(page)
    assert "No kitchen on the list yet" in text_of(page)
    assert Change.objects.filter(about=f"kitchen:{kitchen.pk}").count() == 1


@pytest.mark.sqlite  # about the page alone
def test_another_coops_kitchen_is_404(as_coordinator, other_coop, address):
    kitchen = make_kitchen(other_coop)
    for act in ("", "retire/"):
        assert as_coordinator.post(f"{address}{kitchen.pk}/{act}", GRANGE).status_code == 404


@pytest.mark.sqlite  # as many queries on any database
def test_the_list_asks_once_for_all(as_member, coop, address, django_assert_max_num_queries):
    make_kitchen(coop)
    with django_assert_max_num_queries(8) as one:
        as_member.get(address)
    for _ in range(30):
        make_kitchen(coop)
    with django_assert_max_num_queries(8) as many:
        as_member.get(address)
    assert len(one) == len(many)


# ---- A household's own ----------------------------------------------------------------------
HOME = {"name": "Our kitchen", "altitude_ft": "8350", "address": "", "note": ""}


def choices(response, field="kitchen"):
    return [option.text for option in main_of(response).select(f"#id_{field} option")]


def chosen(response, field="kitchen"):
    return [option.text for option in main_of(response).select(f"#id_{field} option[selected]")]


def test_any_member_adds_changes_and_retires_their_own(as_member, member, address):
    page = as_member.get(address)
    assert main_of(page).find("a", string="Add your kitchen")
    assert "Our kitchen" in text_of(as_member.post(f"{address}add/", HOME, follow=True))
    kitchen = Kitchen.objects.get()
    assert kitchen.household == member.household
    as_member.post(f"{address}{kitchen.pk}/", HOME | {"altitude_ft": "8400"})
    kitchen.refresh_from_db()
    assert kitchen.altitude_ft == 8400
    as_member.post(f"{address}{kitchen.pk}/retire/")
    kitchen.refresh_from_db()
    assert kitchen.retired_at
    assert not main_of(as_member.get(address)).select(".row-title")


def test_two_households_may_call_theirs_the_same_and_one_may_not_twice(
    as_member, household, other_household, coop, address
):
    make_kitchen(coop, "Our kitchen", household=other_household)
    as_member.post(f"{address}add/", HOME)
    assert Kitchen.objects.filter(household=household).count() == 1
    again = as_member.post(f"{address}add/", HOME)
    assert again.status_code == 422
    assert "A kitchen of that name is on the list." in text_of(again)


def test_a_member_neither_sees_nor_changes_another_households(
    as_member, other_household, coop, address
):
    kitchen = make_kitchen(coop, "Dufresne stove", household=other_household)
    assert "Dufresne stove" not in text_of(as_member.get(address))
    for act in ("", "retire/"):
        assert as_member.post(f"{address}{kitchen.pk}/{act}", HOME).status_code == 403
    as_member.post(f"{address}add/", HOME | {"household": other_household.pk})
    assert Kitchen.objects.filter(household=other_household).count() == 1


def test_a_host_keeps_all_of_them(as_host, household, coop, address):
    as_host.post(f"{address}add/", HOME | {"household": household.pk})
    kitchen = Kitchen.objects.get()
    assert kitchen.household == household
    assert "Castell, 8,350 ft" in text_of(as_host.get(address))
    assert as_host.post(f"{address}{kitchen.pk}/", HOME).status_code == 302


def test_a_household_of_another_coop_has_none_here(coop, outsider):
    with pytest.raises(DatabaseError, match="kitchen_within_one_coop"), transaction.atomic():
        make_kitchen(coop, household=outsider.household)


PLACES = ["plans/new/", "loads/new/"]


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize("place", PLACES)
def test_without_a_kitchen_it_is_plainly_the_coops_altitude(as_member, coop, place):
    make_kitchen(coop, "Grange")
    page = as_member.get(f"/{coop.slug}/{place}")
    assert choices(page) == ["The co-op's altitude, 5,430 ft", "Grange, 5,430 ft"]
    assert chosen(page) in ([], ["The co-op's altitude, 5,430 ft"])
    assert "home" not in text_of(page)
    assert main_of(page).find("a", string="Add your kitchen first")


@pytest.mark.parametrize("place", PLACES)
def test_ones_own_is_offered_first_and_anothers_is_not(
    as_member, coop, household, other_household, place
):
    make_kitchen(coop, "Our kitchen", household=household, altitude_ft=8350)
    make_kitchen(coop, "Their kitchen", household=other_household)
    page = as_member.get(f"/{coop.slug}/{place}")
    assert choices(page) == ["The co-op's altitude, 5,430 ft", "Our kitchen, 8,350 ft"]
    assert chosen(page) == ["Our kitchen, 8,350 ft"]


def test_a_load_without_a_word_is_reckoned_for_ones_own_kitchen(as_member, coop, household):
    make_kitchen(coop, "Our kitchen", household=household, altitude_ft=7350)
    page = text_of(as_member.get(f"/{coop.slug}/loads/new/", {"method": "weighted_gauge"}))
    assert "Our kitchen, 7,350 ft" in page


PLAN = {"produce": "sweet_corn", "pounds": "70", "kitchen": "", "farm": "", "note": ""}


def test_who_plans_for_another_household_is_offered_its_kitchen(
    as_coordinator, coordinator, coop, household
):
    new = f"/{coop.slug}/plans/new/"
    own = make_kitchen(coop, "Castell stove", household=household, altitude_ft=8350)
    assert "Castell stove, 8,350 ft" not in choices(as_coordinator.get(new))
    page = as_coordinator.get(new, {"household": household.pk})
    assert chosen(page) == ["Castell stove, 8,350 ft"]
    # The page had offered the coordinator's own kitchens, and the household was changed on it.
    typed = PLAN | {"household": household.pk, "kitchens_of": coordinator.household_id}
    page = as_coordinator.post(new, typed)
    assert page.status_code == 422
    assert "has a kitchen of its own" in text_of(page)
    assert "Castell stove, 8,350 ft" in choices(page)
    assert main_of(page).find("input", {"name": "kitchens_of"})["value"] == str(household.pk)
    as_coordinator.post(new, typed | {"kitchens_of": household.pk, "kitchen": own.pk})
    assert Plan.objects.get().kitchen == own


def test_a_plan_in_another_households_kitchen_is_refused(member, household, other_household, coop):
    theirs = make_kitchen(coop, household=other_household)
    with pytest.raises(Refused, match="another household's own"):
        make_plan(household, PlanTerms("sweet_corn", 700, kitchen=theirs), by=member)
    assert not Plan.objects.exists()


@pytest.mark.parametrize("typed", ["", "x", "-1", "9" * 30])
def test_nonsense_for_a_household_is_sent_back(as_coordinator, coop, typed):
    answer = as_coordinator.post(f"/{coop.slug}/plans/new/", PLAN | {"household": typed})
    assert answer.status_code == 422
    assert not Plan.objects.exists()
