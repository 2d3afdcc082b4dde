"""The list of households, and the page of one."""

import pytest

from coop.people.changes import record_change
from tests.web import factories
from tests.web.reading import text_of


def test_the_list_has_every_household_with_its_members_and_phone(as_member, member, coordinator):
    factories.make_household(member.coop, "Ostrander", phone="+1 303 555 0147")
    response = as_member.get(f"/{member.coop.slug}/households/")
    assert "3 households" in text_of(response)
    assert "Ruth Adeyemi (coordinator)" in text_of(response)
    assert 'href="tel:+1 303 555 0147"' in response.content.decode()


def test_letters_of_a_name_or_a_phone_find_a_household(as_member, member, coordinator):
    factories.make_household(member.coop, "Ostrander", phone="303 555 0147")
    for letters in ("ostr", "0147"):
        page = as_member.get(f"/{member.coop.slug}/households/", {"q": letters}).content.decode()
        assert "Ostrander" in page
        assert "Adeyemi" not in page.split("<main")[1]
    page = as_member.get(f"/{member.coop.slug}/households/", {"q": "ruth"}).content.decode()
    assert "Adeyemi" in page


@pytest.mark.sqlite  # about the page alone
def test_letters_that_find_nothing_say_so(as_member, member):
    page = as_member.get(f"/{member.coop.slug}/households/", {"q": "zz\0"}).content.decode()
    assert "No household found" in page


@pytest.mark.sqlite  # as many queries on any database
def test_the_list_asks_the_database_as_often_for_ten_households_as_for_twenty(
    as_member, member, django_assert_num_queries, django_assert_max_num_queries
):
    def households(number):
        for _ in range(number):
            factories.make_member(factories.make_household(member.coop))

    address = f"/{member.coop.slug}/households/"
    households(9)
    with django_assert_max_num_queries(12) as first:
        assert "10 households" in text_of(as_member.get(address))
    households(10)
    with django_assert_num_queries(len(first)):
        assert "20 households" in text_of(as_member.get(address))


def test_a_household_that_left_is_named_apart(as_member, member):
    factories.make_household(member.coop, "Quill", left_at=factories.NOW)
    page = text_of(as_member.get(f"/{member.coop.slug}/households/"))
    assert "1 household" in page
    assert "Quill" in page.split("Households that have left")[1]


@pytest.mark.sqlite  # about the page alone
def test_only_who_looks_after_an_invitation_sees_it(as_member, as_coordinator, coordinator, member):
    factories.make_invitation(coordinator, "kit@example.test")
    address = f"/{member.coop.slug}/households/"
    assert "kit@example.test" in as_coordinator.get(address).content.decode()
    assert "kit@example.test" not in as_member.get(address).content.decode()


def test_the_page_of_a_household_shows_how_to_reach_it_and_its_history(as_member, member):
    home = factories.make_household(member.coop, "Ostrander", note="No walnuts, please.")
    record_change(home, "Changed: phone.", coop=member.coop, by=member)
    page = as_member.get(f"/{member.coop.slug}/households/{home.pk}/").content.decode()
    assert "No walnuts, please." in page
    assert "Changed: phone." in page


@pytest.mark.sqlite  # about the page alone
def test_who_may_not_change_it_is_offered_no_change(as_member, as_coordinator, coordinator, member):
    address = f"/{member.coop.slug}/households/{coordinator.household_id}/"
    assert "/edit/" not in as_member.get(address).content.decode()
    assert "/edit/" in as_coordinator.get(address).content.decode()


def test_another_coops_household_and_none_are_the_same_404(as_member, member, outsider):
    slug = member.coop.slug
    theirs = as_member.get(f"/{slug}/households/{outsider.household_id}/")
    absent = as_member.get(f"/{slug}/households/999999/")
    assert theirs.status_code == absent.status_code == 404
    assert text_of(theirs) == text_of(absent)


@pytest.mark.sqlite  # about the page alone
def test_markup_in_a_name_stays_text(as_member, member):
    factories.make_household(member.coop, "<b>Bold</b>")
    page = as_member.get(f"/{member.coop.slug}/households/").content.decode()
    assert "&lt;b&gt;Bold&lt;/b&gt;" in page
    assert "<b>Bold" not in page
