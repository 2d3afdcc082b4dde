"""A co-op's pages are its members' alone; nobody else learns that it exists."""

from tests.web.reading import text_of


def test_a_coop_that_exists_and_one_that_does_not_are_the_same_404(as_stranger, coop):
    there, absent = as_stranger.get(f"/{coop.slug}/"), as_stranger.get("/no-such-larder/")
    assert there.status_code == absent.status_code == 404
    assert text_of(there) == text_of(absent)


def test_signed_out_both_lead_to_the_sign_in(signed_out, coop):
    for slug in (coop.slug, "no-such-larder"):
        response = signed_out.get(f"/{slug}/households/?q=moss")
        assert response.url == f"/account/login/?next=/{slug}/households/%3Fq%3Dmoss"


def test_who_has_left_finds_nothing(as_member, member, clock):
    member.left_at = member.joined_at
    member.save()
    assert as_member.get(f"/{member.coop.slug}/").status_code == 404


def test_an_account_that_is_shut_is_signed_out(as_member, member):
    member.user.is_active = False
    member.user.save()
    response = as_member.get(f"/{member.coop.slug}/")
    assert response.url.startswith("/account/login/")


def test_signing_in_leads_back_to_the_page_that_was_asked_for(client, member):
    member.user.set_password("larder-shelf-jars")
    member.user.save()
    address = f"/{member.coop.slug}/households/"
    typed = {"login": member.user.email, "password": "larder-shelf-jars"}
    assert client.post(client.get(address).url, typed | {"next": address}).url == address
