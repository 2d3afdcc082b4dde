"""A member leaves, or is taken off; the co-op never loses its last coordinator."""

from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Entry
from coop.people.changes import changes_of
from tests.web import buy_factories, factories


def leave(client, member):
    return client.post(f"/{member.coop.slug}/members/{member.pk}/leave/")


def test_a_member_leaves_and_the_household_stays(as_member, member, coordinator):
    factories.make_member(member.household)
    assert leave(as_member, member).url == "/"
    assert as_member.get(f"/{member.coop.slug}/").status_code == 404
    member.household.refresh_from_db()
    assert member.household.left_at is None


def test_the_last_member_takes_the_household_along(as_member, member, coordinator):
    leave(as_member, member)
    member.household.refresh_from_db()
    assert member.household.left_at == factories.NOW


def test_a_coordinator_takes_a_member_off_and_it_is_written_down(
    as_coordinator, member, coordinator
):
    leave(as_coordinator, member)
    change = changes_of(member.coop, member.household)[1]
    assert change.sentence == "Ines Castell was taken off."
    assert change.member == coordinator


def test_a_member_cannot_take_another_off(as_member, other_household_member, as_outsider):
    assert leave(as_member, other_household_member).status_code == 403
    assert leave(as_outsider, other_household_member).status_code == 404
    other_household_member.refresh_from_db()
    assert other_household_member.left_at is None


def test_the_last_coordinator_stays(as_coordinator, coordinator, member):
    response = leave(as_coordinator, coordinator)
    assert response.status_code == 409
    assert "Nobody would be left to coordinate" in response.content.decode()
    coordinator.refresh_from_db()
    assert coordinator.left_at is None


def test_with_money_open_the_last_member_stays_and_reads_why(
    as_member, member, coordinator, other_household
):
    flows = [Flow(other_household.account, member.household.account, 500)]
    post_entry(member.coop, Entry.Kind.PAID_IN, flows, title="Lent", by=coordinator)
    page = as_member.get(f"/{member.coop.slug}/members/{member.pk}/leave/").content.decode()
    assert "Castell owes money: square up first." in page
    assert leave(as_member, member).status_code == 409
    member.refresh_from_db()
    assert member.left_at is None


def test_with_a_share_to_fetch_the_last_member_stays(as_member, member, coordinator):
    buy_factories.make_divided_buy(
        member.coop, coordinator=coordinator, shares={member.household: 350}
    )
    response = leave(as_member, member)
    assert response.status_code == 409
    assert "has not fetched what it gets of Sweet corn" in response.content.decode()


def test_with_an_open_ask_the_last_member_stays(as_member, member, coordinator):
    buy = buy_factories.make_buy(member.coop, coordinator=coordinator)
    buy_factories.make_ask(buy_factories.the_line(buy), member.household)
    assert "It has an ask in Sweet corn" in leave(as_member, member).content.decode()


def test_who_fronts_a_buy_stays_until_it_is_done(as_member, member, coordinator):
    buy_factories.make_buy(
        member.coop,
        coordinator=coordinator,
        cover="fronted",
        fronted_by=member.household,
        front_limit_cents=9000,
    )
    assert "It fronts the money for Sweet corn" in leave(as_member, member).content.decode()


def test_somebody_gone_cannot_be_taken_off_again(as_coordinator, member):
    leave(as_coordinator, member)
    assert leave(as_coordinator, member).status_code == 404


def test_asking_whether_one_leaves_changes_nothing(as_member, member, coordinator):
    address = f"/{member.coop.slug}/members/{member.pk}/leave/"
    assert "the household leaves as well" in as_member.get(address).content.decode()
    member.refresh_from_db()
    assert member.left_at is None
