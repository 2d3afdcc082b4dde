"""The link of an invitation lets one person in, once, and says clearly when it does not."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from coop.people.invitations import token_of
from coop.people.models import Household, Invitation, Member, User
from tests.web import factories

TYPED = {"name": "Kit Moss", "password": "a-shelf-of-plums", "household_name": "Moss"}


def address(invitation, name="join"):
    return reverse(f"people:{name}", args=[token_of(invitation)])


@pytest.fixture
def invitation(coordinator):
    return factories.make_invitation(coordinator, "kit@example.test", household_name="Mosses")


def test_a_newcomer_makes_an_account_and_is_in(signed_out, invitation):
    response = signed_out.post(address(invitation, "sign_up"), TYPED, follow=True)
    assert response.redirect_chain == [(f"/{invitation.coop.slug}/", 302)]
    member = Member.objects.get(user__email="kit@example.test")
    assert (member.name, member.household.name) == ("Kit Moss", "Moss")


def test_the_new_household_has_an_account_in_the_books(signed_out, invitation):
    signed_out.post(address(invitation, "sign_up"), TYPED)
    assert Household.objects.get(name="Moss").account.name == "Moss"


def test_without_a_password_one_signs_in_by_a_code(signed_out, client, invitation, mailoutbox):
    signed_out.post(address(invitation, "sign_up"), TYPED | {"password": ""})
    client.post("/account/login/code/", {"email": "kit@example.test"})
    code = re.search(r"sign in: (\S+)", mailoutbox[0].body).group(1)
    client.post("/account/login/code/confirm/", {"code": code})
    assert client.get("/").url == f"/{invitation.coop.slug}/"


def test_roles_come_with_the_invitation(signed_out, coordinator):
    invitation = factories.make_invitation(coordinator, steward=True)
    signed_out.post(address(invitation, "sign_up"), TYPED)
    assert Member.objects.get(household__name="Moss").roles == ["steward"]


def test_into_a_household_that_is_there_no_name_is_asked(signed_out, coordinator, household):
    invitation = factories.make_invitation(coordinator, household=household)
    assert "household_name" not in signed_out.get(address(invitation)).content.decode()
    signed_out.post(address(invitation, "sign_up"), TYPED)
    assert household.members.get().name == "Kit Moss"


def test_somebody_with_an_account_signs_in_and_joins(as_stranger, stranger, coordinator):
    invitation = factories.make_invitation(coordinator, stranger.email)
    response = as_stranger.post(address(invitation, "accept"), {"household_name": "Fenn"})
    assert response.url == f"/{coordinator.coop.slug}/"
    assert stranger.memberships.get().household.name == "Fenn"


def test_who_has_an_account_is_sent_to_sign_in_and_comes_back(signed_out, stranger, coordinator):
    invitation = factories.make_invitation(coordinator, stranger.email)
    page = signed_out.get(address(invitation)).content.decode()
    assert f"/account/login/?next={address(invitation)}" in page
    response = signed_out.post(address(invitation, "sign_up"), TYPED)
    assert response.status_code == 422
    assert not stranger.memberships.exists()


def test_get_joins_nobody(signed_out, invitation):
    assert signed_out.get(address(invitation)).status_code == 200
    assert signed_out.get(address(invitation, "sign_up")).status_code == 405
    assert not Invitation.objects.get(pk=invitation.pk).accepted_at


def test_a_used_link_lets_nobody_in_again(signed_out, client, invitation):
    signed_out.post(address(invitation, "sign_up"), TYPED)
    response = client.post(address(invitation, "sign_up"), TYPED | {"name": "Somebody else"})
    assert response.status_code == 410
    assert "used already" in response.content.decode()
    assert Member.objects.filter(coop=invitation.coop).count() == 2


def test_a_withdrawn_link_says_so(signed_out, coordinator):
    invitation = factories.make_invitation(coordinator, withdrawn_at=factories.NOW)
    response = signed_out.get(address(invitation))
    assert response.status_code == 410
    assert "was withdrawn" in response.content.decode()


def test_a_link_runs_out_at_its_hour(signed_out, invitation, clock):
    clock.move_to(invitation.expires_at - timedelta(seconds=1))
    assert signed_out.get(address(invitation)).status_code == 200
    clock.move_to(invitation.expires_at)
    response = signed_out.post(address(invitation, "sign_up"), TYPED)
    assert response.status_code == 410
    assert "has expired" in response.content.decode()


@pytest.mark.parametrize("token", ("x", "a:b", "W10:x", "WzEsMV0:AAAA"))
def test_a_link_that_is_not_whole_says_so(signed_out, invitation, token):
    response = signed_out.get(f"/join/{token}/")
    assert response.status_code == 404
    assert "not whole" in response.content.decode()
    assert signed_out.get(address(invitation)[:-3] + "/").status_code == 404


def test_it_is_for_the_address_that_it_was_sent_to(as_member, member, invitation):
    response = as_member.get(address(invitation))
    assert response.status_code == 403
    assert "another address than yours" in response.content.decode()
    assert invitation.email not in response.content.decode()
    assert as_member.post(address(invitation, "accept"), TYPED).status_code == 403


def test_a_second_confirmed_address_counts_as_well(as_stranger, stranger, invitation):
    stranger.emailaddress_set.create(email=invitation.email, verified=True)
    response = as_stranger.post(address(invitation, "accept"), {"household_name": "Fenn"})
    assert response.status_code == 302


def test_a_household_name_that_is_taken_is_refused_and_nothing_typed_is_lost(
    signed_out, invitation, household
):
    response = signed_out.post(
        address(invitation, "sign_up"), TYPED | {"household_name": "CASTELL"}
    )
    assert response.status_code == 422
    assert "has a household named CASTELL already" in response.content.decode()
    assert response.context["form"]["name"].value() == "Kit Moss"
    assert not User.objects.filter(email=invitation.email).exists()


@pytest.mark.parametrize("password", ("short", "password", "kit@example.test"))
def test_a_weak_password_is_refused_at_its_field(signed_out, invitation, password):
    response = signed_out.post(address(invitation, "sign_up"), TYPED | {"password": password})
    assert response.status_code == 422
    assert response.context["form"].errors["password"]


def test_a_household_that_left_comes_back_with_its_member(signed_out, coordinator, household):
    household.left_at = factories.NOW
    household.save()
    invitation = factories.make_invitation(coordinator, household=household)
    signed_out.post(address(invitation, "sign_up"), TYPED)
    household.refresh_from_db()
    assert household.left_at is None


def test_one_address_of_the_network_makes_few_accounts_an_hour(signed_out, invitation):
    tries = [signed_out.post("/join/x/sign-up/", TYPED).status_code for _ in range(61)]
    assert tries.count(404) == 60
    assert tries[-1] == 429
