"""A co-op of a release without notices: what is to come is told, and nothing of long ago."""

from datetime import timedelta

import pytest
from django.core.management import call_command

from coop.buying.models import CallIn
from coop.notices.models import Matter, Notice
from coop.web.management.commands import prepare
from tests.web.buy_factories import make_called_in_buy
from tests.web.factories import NOW
from tests.web.notices.postman import post

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
DAYS, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture(autouse=True)
def without_files(monkeypatch):
    """The tables are there, and no page is asked for."""
    monkeypatch.setattr(prepare, "call_command", lambda *names, **options: None)


def test_after_an_update_what_is_to_come_is_told(coop, household, member, clock):
    """Rows as the acts of the earlier release left them: called in three days before the update."""
    pickup = {"pickup_from": NOW + 2 * DAYS, "pickup_to": NOW + 2 * DAYS + HOUR}
    clock.move_to(NOW - 3 * DAYS)
    buy = make_called_in_buy(coop, asks={household: 350}, **pickup)
    CallIn.objects.update(at=NOW - 3 * DAYS)
    clock.move_to(NOW)
    call_command("prepare", demo=False)
    due = Notice.objects.filter(member=member).order_by("due_at").values_list("due_at", flat=True)
    assert list(due) == [buy.pickup_from - DAYS, buy.pickup_from - 2 * HOUR]
    assert post() == []
    kept = Matter.objects.count()
    call_command("prepare", demo=False)
    assert Matter.objects.count() == kept
