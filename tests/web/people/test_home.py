"""The first page sends everybody where they belong."""

import pytest

from tests.web import factories

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


def test_who_is_signed_out_reads_what_the_site_is_and_can_sign_in(signed_out, db):
    response = signed_out.get("/")
    assert response.status_code == 200
    assert "/account/login/" in response.content.decode()


def test_a_member_of_one_coop_goes_straight_in(as_member, coop):
    assert as_member.get("/").url == f"/{coop.slug}/"


def test_a_member_of_two_coops_chooses(as_member, member, other_coop):
    factories.make_member(factories.make_household(other_coop), user=member.user)
    page = as_member.get("/").content.decode()
    assert f'href="/{member.coop.slug}/"' in page
    assert f'href="/{other_coop.slug}/"' in page


def test_each_page_of_one_coop_offers_the_other(as_member, member, other_coop):
    factories.make_member(factories.make_household(other_coop), user=member.user)
    assert f'href="/{other_coop.slug}/"' in as_member.get(f"/{member.coop.slug}/").content.decode()


def test_a_coop_that_one_has_left_is_offered_no_more(as_member, member, other_coop, clock):
    gone = factories.make_member(factories.make_household(other_coop), user=member.user)
    gone.left_at = factories.NOW
    gone.save()
    assert as_member.get("/").url == f"/{member.coop.slug}/"
    assert as_member.get(f"/{other_coop.slug}/").status_code == 404


def test_a_member_of_none_reads_how_to_be_invited_and_can_start_one(as_stranger, stranger):
    page = as_stranger.get("/").content.decode()
    assert stranger.email in page
    assert 'href="/start/"' in page
