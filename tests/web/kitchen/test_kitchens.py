"""Kitchens are kept by hosts and coordinators; their altitude decides."""

import pytest

from coop.kitchen.models import Kitchen
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
    for act in ("add/", f"{kitchen.pk}/", f"{kitchen.pk}/retire/"):
        response = as_member.post(f"{address}{act}", GRANGE)
        assert response.status_code == 403
        assert "Hosts and coordinators" in text_of(response)
    assert Kitchen.objects.get().name == "Grange"


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


def test_another_coops_kitchen_is_404(as_coordinator, other_coop, address):
    kitchen = make_kitchen(other_coop)
    for act in ("", "retire/"):
        assert as_coordinator.post(f"{address}{kitchen.pk}/{act}", GRANGE).status_code == 404


def test_the_list_asks_once_for_all(as_member, coop, address, django_assert_max_num_queries):
    make_kitchen(coop)
    with django_assert_max_num_queries(8) as one:
        as_member.get(address)
    for _ in range(30):
        make_kitchen(coop)
    with django_assert_max_num_queries(8) as many:
        as_member.get(address)
    assert len(one) == len(many)
