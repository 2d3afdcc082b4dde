"""Whoever starts a co-op is its first member, and all that a co-op needs is there."""

import pytest

from coop.money.models import Account
from coop.people.models import Coop, Member
from coop.people.slugs import RESERVED

TYPED = {
    "name": "Juniper Shelf",
    "slug": "",
    "household_name": "Fenn",
    "altitude_ft": "5430",
    "time_zone": "America/Denver",
    "currency": "USD",
}


def test_a_stranger_starts_a_coop_and_lands_on_its_this_week(as_stranger):
    response = as_stranger.post("/start/", TYPED, follow=True)
    assert response.redirect_chain == [("/juniper-shelf/", 302)]
    assert "Nothing is due" in response.content.decode()


def test_who_starts_it_is_coordinator_and_treasurer(as_stranger, stranger):
    as_stranger.post("/start/", TYPED)
    first = Member.objects.get(user=stranger)
    assert first.roles == ["coordinator", "treasurer"]
    assert first.household.name == "Fenn"


def test_it_has_a_till_and_its_household_an_account(as_stranger):
    as_stranger.post("/start/", TYPED)
    kinds = Account.objects.filter(coop__slug="juniper-shelf").values_list("kind", flat=True)
    assert sorted(kinds) == ["household", "till"]


def test_an_address_that_is_taken_is_refused_at_its_field_and_nothing_typed_is_lost(
    as_stranger, coop
):
    response = as_stranger.post("/start/", TYPED | {"slug": coop.slug})
    assert response.status_code == 422
    assert "A co-op has this address already" in response.content.decode()
    assert response.context["form"]["household_name"].value() == "Fenn"
    assert Coop.objects.count() == 1


@pytest.mark.parametrize("slug", sorted(RESERVED))
def test_an_address_of_the_sites_own_is_refused(as_stranger, slug):
    response = as_stranger.post("/start/", TYPED | {"slug": slug})
    assert response.status_code == 422
    assert not Coop.objects.exists()


def test_a_name_without_a_letter_for_an_address_asks_for_one(as_stranger):
    response = as_stranger.post("/start/", TYPED | {"name": "???"})
    assert response.status_code == 422
    assert "Type an address" in response.content.decode()


@pytest.mark.parametrize(
    ("field", "typed"),
    (
        ("altitude_ft", "40000"),
        ("altitude_ft", "high"),
        ("time_zone", "Mars/Olympus"),
        ("currency", "XYZ"),
        ("name", ""),
        ("name", "a\0b"),
        ("household_name", " "),
        ("slug", "two words"),
    ),
)
def test_what_cannot_be_right_is_refused_at_its_field(as_stranger, field, typed):
    response = as_stranger.post("/start/", TYPED | {field: typed})
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert not Coop.objects.exists()


def test_get_starts_nothing(as_stranger):
    assert as_stranger.get("/start/", TYPED).status_code == 200
    assert not Coop.objects.exists()


def test_it_asks_who_you_are_first(signed_out, db):
    response = signed_out.post("/start/", TYPED)
    assert response.url.startswith("/account/login/")


def test_one_person_starts_few_coops_a_day(as_stranger):
    made = [
        as_stranger.post("/start/", TYPED | {"slug": f"shelf-{place}"}).status_code
        for place in range(11)
    ]
    assert made == [302] * 10 + [422]
