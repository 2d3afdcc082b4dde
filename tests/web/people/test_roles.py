"""Coordinators say who does what; the co-op always has one."""

import pytest

from coop.people.changes import changes_of
from tests.web import factories


def address(member):
    return f"/{member.coop.slug}/members/{member.pk}/roles/"


def test_a_coordinator_gives_roles_and_it_is_written_down(as_coordinator, coordinator, member):
    as_coordinator.post(address(member), {"roles": ["treasurer", "host"]})
    member.refresh_from_db()
    assert member.roles == ["treasurer", "host"]
    change = changes_of(member.coop, member.household)[0]
    assert (change.sentence, change.member) == (
        "Ines Castell is now treasurer and host.",
        coordinator,
    )


def test_no_box_ticked_takes_all_roles(as_coordinator, treasurer):
    assert as_coordinator.post(address(treasurer), {}).status_code == 302
    treasurer.refresh_from_db()
    assert treasurer.roles == []


def test_who_is_no_coordinator_gives_none(as_treasurer, as_member, as_outsider, member):
    assert as_treasurer.post(address(member), {"roles": ["host"]}).status_code == 403
    assert as_member.post(address(member), {"roles": ["coordinator"]}).status_code == 403
    assert as_outsider.post(address(member), {"roles": ["host"]}).status_code == 404
    member.refresh_from_db()
    assert member.roles == []


def test_the_last_coordinator_cannot_lay_it_down(as_coordinator, coordinator):
    response = as_coordinator.post(address(coordinator), {"roles": ["treasurer"]})
    assert response.status_code == 422
    assert "Nobody would be left to coordinate" in response.content.decode()
    coordinator.refresh_from_db()
    assert coordinator.roles == ["coordinator"]


def test_one_of_two_coordinators_can(as_coordinator, coordinator):
    factories.make_member(coordinator.household, roles=["coordinator"])
    assert as_coordinator.post(address(coordinator), {}).status_code == 302


def test_an_invented_role_is_refused(as_coordinator, member):
    assert as_coordinator.post(address(member), {"roles": ["king"]}).status_code == 422


def test_opening_the_page_changes_nothing(as_coordinator, treasurer):
    assert as_coordinator.get(address(treasurer), {"roles": ["host"]}).status_code == 200
    treasurer.refresh_from_db()
    assert treasurer.roles == ["treasurer"]


@pytest.mark.parametrize("number", ("0", "999999", "99999999999999999999"))
def test_a_member_that_is_not_there_is_404(as_coordinator, coop, number):
    assert as_coordinator.get(f"/{coop.slug}/members/{number}/roles/").status_code == 404
