"""One's own name, in every co-op at once."""

from tests.web import factories


def test_a_new_name_is_the_name_in_every_coop(as_member, member, other_coop):
    there = factories.make_member(factories.make_household(other_coop), user=member.user)
    assert as_member.post("/me/", {"name": "Inés Castell"}).status_code == 302
    for membership in (member, there):
        membership.refresh_from_db()
        assert membership.name == "Inés Castell"


def test_an_empty_name_is_refused(as_member, member):
    assert as_member.post("/me/", {"name": " "}).status_code == 422
    member.user.refresh_from_db()
    assert member.user.name == "Ines Castell"


def test_opening_the_page_changes_nothing(as_member, member):
    page = as_member.get("/me/", {"name": "Somebody"}).content.decode()
    assert "a code sent there" in page
    member.user.refresh_from_db()
    assert member.user.name == "Ines Castell"
