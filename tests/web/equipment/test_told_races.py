"""Several acts at one moment, about what one letter tells, and about one thing that is told."""

from threading import Event

import pytest
from django.db import transaction

from coop.equipment.actions.booking import Wish, book
from coop.equipment.actions.changing import cancel, move
from coop.equipment.actions.handovers import Found, FoundBack, hand_back, hand_out
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.telling import read
from coop.equipment.models import Told
from coop.notices.mailing.claiming import gather
from coop.notices.models import Mail, Matter
from coop.notices.sources import put_right
from coop.people.actions.members import set_roles
from tests.web import factories
from tests.web.at_once import at_once
from tests.web.equipment_factories import HOUR, make_thing
from tests.web.factories import NOW

many_times = pytest.mark.parametrize("attempt", range(2))


@pytest.fixture
def members(transactional_db):
    """A member, and a coordinator of another household."""
    coop = factories.make_coop()
    return [
        factories.make_member(factories.make_household(coop), roles=roles)
        for roles in ((), ("coordinator",))
    ]


def booked(member, start, **thing):
    made = make_thing(member.coop, "mill", **thing)
    wish = Wish(made.pk, start, start + 3 * HOUR)
    return book([wish], household=member.household, by=member)[0]


@many_times
def test_two_bookings_that_one_letter_tells_are_changed_at_once(members, clock, attempt):
    """One act locks the books as well, and each drops what the letter tells."""
    member, coordinator = members
    out = booked(member, NOW, deposit_cents=2000, fee_cents=500)
    hand_out(out.pk, Found(), by=member)
    coming = [booked(member, NOW + 24 * HOUR) for _ in range(2)]
    clock.shift(9 * HOUR)
    gather(NOW + 9 * HOUR)
    assert Mail.objects.get().notices.count() >= len(coming)
    results = at_once(
        lambda: hand_back(out.pk, FoundBack(bumped=False), by=member),
        lambda: cancel(coming[0].pk, by=coordinator),
        lambda: move(coming[1].pk, NOW + 48 * HOUR, NOW + 50 * HOUR, by=coordinator),
    )
    assert results == ["done"] * 3
    assert put_right(member.coop) == {}


@many_times
def test_what_is_read_while_its_booking_is_cancelled_is_told_no_more(members, attempt):
    member, coordinator = members
    booking = booked(member, NOW + 24 * HOUR)
    move(booking.pk, NOW + 30 * HOUR, NOW + 31 * HOUR, by=coordinator)
    told = Told.objects.get()
    results = at_once(lambda: read(told, by=member), lambda: cancel(booking.pk, by=member))
    assert results == ["done"] * 2
    assert not Matter.objects.filter(kind="equipment_news", dropped_at=None).exists()
    assert put_right(member.coop) == {}


def test_who_is_steward_does_not_change_while_an_act_says_whom_it_tells(members):
    """Both would write down the same matter; so one waits for the thing that the other holds."""
    member, coordinator = members
    thing, held, changed = make_thing(member.coop, "mill"), Event(), Event()

    def hold():
        with transaction.atomic():
            lock_thing(member.coop, thing.pk)
            held.set()
            assert not changed.wait(0.5)

    def change():
        assert held.wait(10)
        set_roles(member.pk, ["steward"], by=coordinator)
        changed.set()

    assert at_once(hold, change) == ["done"] * 2
    assert changed.is_set()


def test_what_is_being_read_is_waited_for_before_it_is_told_anew(members):
    """Else the one would drop what the other, who has not seen it read, then says again."""
    member, coordinator = members
    booking = booked(member, NOW + 24 * HOUR)
    move(booking.pk, NOW + 30 * HOUR, NOW + 31 * HOUR, by=coordinator)
    told, held, moved = Told.objects.get(), Event(), Event()

    def hold():
        with transaction.atomic():
            read(told, by=member)
            held.set()
            moved.wait(0.5)

    def end():
        assert held.wait(10)
        cancel(booking.pk, by=member)
        moved.set()

    assert at_once(hold, end) == ["done"] * 2
    assert not Matter.objects.filter(kind="equipment_news", dropped_at=None).exists()
