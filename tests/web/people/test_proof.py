"""Membership changes hands only with fresh proof of who asks."""

from datetime import timedelta

import pytest

from tests.web import factories


@pytest.fixture
def with_password(coordinator, client):
    """The coordinator, signed in on the page as people do, by a password."""
    coordinator.user.set_password(factories.PASSWORD)
    coordinator.user.save()
    typed = {"login": coordinator.user.email, "password": factories.PASSWORD}
    assert client.post("/account/login/", typed).status_code == 302
    return client


def test_just_signed_in_is_proof_enough(with_password, member):
    address = f"/{member.coop.slug}/members/{member.pk}/roles/"
    assert with_password.post(address, {"roles": ["host"]}).status_code == 302
    member.refresh_from_db()
    assert member.host


def test_later_the_password_is_asked_again_and_the_page_comes_back(with_password, member, clock):
    clock.shift(timedelta(hours=1))
    address = f"/{member.coop.slug}/members/{member.pk}/leave/"
    asked = with_password.post(address)
    assert asked.url.startswith("/account/reauthenticate/?next=")
    member.refresh_from_db()
    assert member.left_at is None
    back = with_password.post(asked.url, {"password": factories.PASSWORD})
    assert back.url == address
    assert with_password.post(address).status_code == 302


def test_a_wrong_password_is_no_proof(with_password, member, clock):
    clock.shift(timedelta(hours=1))
    address = f"/{member.coop.slug}/members/{member.pk}/roles/"
    asked = with_password.get(address)
    with_password.post(asked.url, {"password": "guessed"})
    assert with_password.get(address).status_code == 302
