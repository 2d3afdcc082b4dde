"""What the workers do for notices: send what is due, and look at night whether all is told."""

from __future__ import annotations

import logging
import time
import uuid

from celery import shared_task
from django.conf import settings
from django.db.utils import InterfaceError, OperationalError
from django.utils import timezone
from kombu.exceptions import OperationalError as BrokerAway

from coop.notices.mailing.apart import carry_apart
from coop.notices.mailing.carrier import patiently
from coop.notices.mailing.claiming import claim, exchange, gather, give_back
from coop.notices.membership import plan_again
from coop.notices.sources import put_right
from coop.people.models import Coop

log = logging.getLogger(__name__)

#: A tick ends before the next one is due.
TICK_SECONDS = 50.0


@shared_task
def tick() -> int:
    """Make letters of what is due, and hand them to workers; returns how many batches.

    Any number may run at once. Whatever stops one, the next goes on from what the database says.
    """
    deadline, handed_out = time.monotonic() + TICK_SECONDS, 0
    try:
        while time.monotonic() < deadline:
            gathered = gather(timezone.now())
            token = claim(timezone.now())
            if token is not None:
                _hand_out(token)
                handed_out += 1
            elif not gathered:
                break
    except BrokerAway as error:
        log.warning("The broker is away; the next tick tries again: %s", error)
    except (OperationalError, InterfaceError) as error:
        log.warning("The database is away or busy; the next tick tries again: %s", error)
    return handed_out


def _hand_out(token: uuid.UUID) -> None:
    """A message that is lost is made good when the lease ends, and worth nothing after that."""
    try:
        deliver.apply_async((str(token),), expires=settings.MAIL_LEASE_SECONDS)
    except BrokerAway:
        give_back(token)
        raise


@shared_task
def deliver(token: str) -> None:
    """Carry a batch of letters. Of two that come with one token, one finds nothing to do."""
    mine = uuid.uuid4()
    if patiently(lambda: exchange(uuid.UUID(token), mine, timezone.now())):
        carry_apart(mine)


@shared_task
def put_right_all() -> int:
    """Look through every cause and notice of every co-op; returns in how many something differed.

    Nothing should: acts keep what there is to tell. What an act forgot is told from now on, and
    logged, so that the act can be mended. Who joined or chose in the very moment of an act is told
    as the others are.
    """
    differed = 0
    for coop in Coop.objects.order_by("pk").iterator():
        try:
            found, replanned = put_right(coop), plan_again(coop)
        except Exception:  # one co-op's trouble is not another's
            log.exception("Notices of co-op %s could not be looked through", coop.pk)
            continue
        if found or replanned:
            differed += 1
            log.warning("Notices of co-op %s differed: %s, %s others", coop.pk, found, replanned)
    return differed
