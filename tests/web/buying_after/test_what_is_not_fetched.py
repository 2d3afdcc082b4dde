"""After the pickup and its grace time, what nobody fetched goes to the spare table."""

from datetime import timedelta

import pytest
from django.db import IntegrityError

from coop.buying.models import Buy, Division, Share, Spare
from coop.buying.tasks import release_unfetched_shares
from coop.people.models import Change
from tests.web import factories

MINUTE = timedelta(minutes=1)


@pytest.fixture
def over(divided, clock):
    """The pickup and its 30 minutes of grace have just ended; one household came."""
    clock.move_to(divided.pickup_to + 30 * MINUTE)
    Share.objects.filter(amount=200).update(fetched_at=factories.NOW)
    return divided


def test_the_button_puts_it_on_the_spare_table(as_coordinator, over, household, at):
    answer = as_coordinator.post(at("release_unfetched", over.pk))
    assert answer.url == at("spare", over.pk)
    spare = Spare.objects.get(share__household=household)
    assert spare.amount == 400
    assert spare.share.released_at == over.pickup_to + 30 * MINUTE


def test_what_was_fetched_stays_where_it_is(as_coordinator, over, at):
    as_coordinator.post(at("release_unfetched", over.pk))
    assert Share.objects.get(amount=200).released_at is None


def test_the_clock_does_the_same_once(over, household):
    assert release_unfetched_shares() == 1
    assert release_unfetched_shares() == 0
    assert Spare.objects.filter(share__household=household).count() == 1
    change = Change.objects.filter(about=f"buy:{over.pk}").first()
    assert change.member is None
    assert "put on the spare table" in change.sentence


def test_nothing_goes_before_the_grace_time_is_over(as_coordinator, over, clock, at):
    clock.move_to(over.pickup_to + 29 * MINUTE)
    assert release_unfetched_shares() == 0
    answer = as_coordinator.post(at("release_unfetched", over.pk))
    assert answer.status_code == 409
    assert "grace are not over" in answer.content.decode()
    assert not Share.objects.filter(released_at__isnull=False).exists()


def test_a_squared_buy_is_left_alone(over):
    Buy.objects.update(stage=Buy.Stage.SQUARED)
    assert release_unfetched_shares() == 0


def test_a_withdrawn_divisions_shares_are_left_alone(over):
    Division.objects.update(withdrawn_at=factories.NOW)
    assert release_unfetched_shares() == 0


def test_a_share_of_nothing_is_no_spare(over):
    Share.objects.filter(amount=400).update(amount=0)
    assert release_unfetched_shares() == 0


@pytest.mark.sqlite  # about the page alone
def test_a_member_without_the_role_cannot_release(as_member, over, at):
    assert as_member.post(at("release_unfetched", over.pk)).status_code == 403
    assert not Share.objects.filter(released_at__isnull=False).exists()


@pytest.mark.sqlite  # about the page alone
def test_another_co_op_cannot_release(as_outsider, over, at):
    assert as_outsider.post(at("release_unfetched", over.pk)).status_code == 404


def test_the_database_refuses_a_share_both_fetched_and_released(over):
    with pytest.raises(IntegrityError):
        Share.objects.filter(amount=200).update(released_at=factories.NOW)
