"""A household leaves the co-op with all of its members, once nothing of it is open."""

from tests.web import buy_factories, factories


def address(household):
    return f"/{household.coop.slug}/households/{household.pk}/end/"


def test_a_household_leaves_with_all_of_its_members(as_member, member, household, coordinator):
    other = factories.make_member(household, roles=["steward"])
    assert as_member.post(address(household)).url == "/"
    other.refresh_from_db()
    household.refresh_from_db()
    assert household.left_at == other.left_at == factories.NOW
    assert other.roles == []


def test_a_coordinator_has_a_household_leave_that_does_not_answer(as_coordinator, household):
    response = as_coordinator.post(address(household), follow=True)
    assert "Castell has left the co-op" in response.content.decode()


def test_others_may_not(as_other_household_member, as_outsider, household):
    assert as_other_household_member.post(address(household)).status_code == 403
    assert as_outsider.post(address(household)).status_code == 404
    household.refresh_from_db()
    assert household.left_at is None


def test_a_household_with_an_open_ask_stays(as_member, member, household, coordinator):
    buy = buy_factories.make_buy(household.coop, coordinator=coordinator)
    buy_factories.make_ask(buy_factories.the_line(buy), household)
    assert "Not yet" in as_member.get(address(household)).content.decode()
    response = as_member.post(address(household))
    assert response.status_code == 409
    assert "find a taker" in response.content.decode()


def test_the_household_of_the_only_coordinator_stays(as_coordinator, coordinator):
    response = as_coordinator.post(address(coordinator.household))
    assert response.status_code == 409
    assert "Nobody would be left to coordinate" in response.content.decode()


def test_a_household_leaves_once(as_coordinator, household):
    as_coordinator.post(address(household))
    assert as_coordinator.post(address(household)).status_code == 409


def test_asking_whether_it_leaves_changes_nothing(as_member, member, household):
    assert as_member.get(address(household)).status_code == 200
    household.refresh_from_db()
    assert household.left_at is None
