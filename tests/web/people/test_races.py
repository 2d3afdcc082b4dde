"""Two people act on membership at the same moment, over connections of their own."""

import threading

import pytest
from django.db import connection

from coop.people.actions.invitations import join_as_new_user
from coop.people.actions.members import leave, set_roles
from coop.people.errors import InvitationGone, LastCoordinator, Refused
from coop.people.models import Member
from tests.web import factories


def at_once(*acts):
    """Do the acts at one moment, each in a thread of its own; returns what each came to."""
    barrier, results = threading.Barrier(len(acts)), [None] * len(acts)

    def run(place, act):
        try:
            barrier.wait(timeout=30)
            results[place] = act()
        except Refused as refusal:
            results[place] = refusal
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return results


@pytest.fixture
def two_coordinators(transactional_db):
    coop = factories.make_coop()
    return [
        factories.make_member(factories.make_household(coop), roles=["coordinator"])
        for _ in range(2)
    ]


def test_two_coordinators_who_leave_at_once_leave_one_behind(two_coordinators):
    first, second = two_coordinators
    results = at_once(lambda: leave(first.pk, by=first), lambda: leave(second.pk, by=second))
    assert sum(isinstance(result, LastCoordinator) for result in results) == 1
    assert Member.objects.filter(coordinator=True, left_at__isnull=True).count() == 1


def test_two_coordinators_who_lay_it_down_at_once_leave_one(two_coordinators):
    first, second = two_coordinators
    results = at_once(
        lambda: set_roles(first.pk, [], by=first), lambda: set_roles(second.pk, [], by=second)
    )
    assert sum(isinstance(result, LastCoordinator) for result in results) == 1
    assert Member.objects.filter(coordinator=True).count() == 1


def test_a_link_used_twice_at_once_lets_one_in(two_coordinators):
    invitation = factories.make_invitation(two_coordinators[0], "kit@example.test")

    def join():
        return join_as_new_user(invitation, name="Kit", password=None, household_name="Moss")

    results = at_once(join, join)
    assert sum(isinstance(result, Member) for result in results) == 1
    assert sum(isinstance(result, InvitationGone | Refused) for result in results) == 1
    assert Member.objects.filter(user__email="kit@example.test").count() == 1
