"""A household says of itself how it is called and reached."""

import pytest

from coop.people.changes import changes_of

TYPED = {"name": "Castell-Moss", "phone": "303 555 0121", "address": "", "note": "No walnuts."}


def address(household):
    return f"/{household.coop.slug}/households/{household.pk}/edit/"


def test_a_member_changes_the_own_household(as_member, household):
    assert as_member.post(address(household), TYPED).status_code == 302
    household.refresh_from_db()
    assert (household.name, household.note) == ("Castell-Moss", "No walnuts.")


def test_a_coordinator_does_it_for_a_household_that_phones_in(as_coordinator, household):
    as_coordinator.post(address(household), TYPED)
    household.refresh_from_db()
    assert household.phone == "303 555 0121"


def test_its_account_follows_the_name(as_member, household):
    as_member.post(address(household), TYPED)
    household.account.refresh_from_db()
    assert household.account.name == "Castell-Moss"


def test_what_was_changed_is_written_down(as_member, member, household):
    as_member.post(address(household), TYPED)
    change = changes_of(household.coop, household).get()
    assert change.member == member
    assert (change.before["name"], change.after["name"]) == ("Castell", "Castell-Moss")
    assert "address" not in change.after


def test_nothing_changed_writes_nothing_down(as_member, household):
    as_member.post(address(household), {"name": "Castell", "phone": "", "address": "", "note": ""})
    assert not changes_of(household.coop, household).exists()


def test_others_may_not(as_other_household_member, as_outsider, household):
    assert as_other_household_member.get(address(household)).status_code == 403
    assert as_other_household_member.post(address(household), TYPED).status_code == 403
    assert as_outsider.post(address(household), TYPED).status_code == 404
    household.refresh_from_db()
    assert household.name == "Castell"


def test_a_name_that_is_taken_is_refused_and_nothing_typed_is_lost(
    as_member, household, other_household
):
    response = as_member.post(address(household), TYPED | {"name": "dufresne"})
    assert response.status_code == 422
    assert "has a household named dufresne already" in response.content.decode()
    assert response.context["form"]["note"].value() == "No walnuts."


@pytest.mark.parametrize("name", ("", "   ", "x" * 81))
def test_a_name_is_neither_empty_nor_endless(as_member, household, name):
    assert as_member.post(address(household), TYPED | {"name": name}).status_code == 422


def test_opening_the_page_changes_nothing(as_member, household):
    assert as_member.get(address(household), TYPED).status_code == 200
    household.refresh_from_db()
    assert household.name == "Castell"
