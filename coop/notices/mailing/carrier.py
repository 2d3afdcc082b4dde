"""Carries a batch of letters to the mail server, and writes down what it said to each."""

from __future__ import annotations

import logging
import time
import uuid
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import TypeVar

from django.conf import settings
from django.db import connection
from django.db.utils import InterfaceError, OperationalError
from django.utils import timezone

from coop.notices.mailing import outcomes
from coop.notices.mailing.claiming import UNENDED, give_back, is_too_late, renew
from coop.notices.mailing.letters import compose
from coop.notices.mailing.outcomes import Trouble
from coop.notices.mailing.quiet import after_quiet_hours
from coop.notices.mailing.server import MailServer, Unreachable
from coop.notices.models import Mail, Notice

log = logging.getLogger(__name__)

#: What was read of a batch is read again when it is older than this.
FRESH_SECONDS = 2.0
#: A batch takes no longer than this; what is left of it is for the next tick. The same workers have
#: other things to do, and a mail server may take minutes for each letter.
BATCH_SECONDS = 45.0
#: A lease runs by this part longer than the longest letter (a minute of ten): the clocks of two
#: machines may differ by so much.
MARGIN = 0.1

CANNOT_WRITE = Trouble("This letter could not be written. The log of the worker says why.")

#: How long to wait for a database that is away: to read what is next, and to write down a yes.
READING_SECONDS, WRITING_SECONDS = 60.0, 3600.0
FIRST_PAUSE_SECONDS, LONGEST_PAUSE_SECONDS = 0.05, 2.0

Result = TypeVar("Result")
InHand = list[tuple[Mail, list[Notice]]]


def never() -> bool:
    """Nobody asks to stop."""
    return False


def carry(
    token: uuid.UUID, *, asked_to_stop: Callable[[], bool] = never, alarmed: bool = False
) -> None:
    """Carry what a token holds, until nothing is left, the lease is lost, or one is to stop.

    One stops when asked to, and when the batch has taken long enough: the rest is for others.
    Before each letter the lease lasts longer than the longest letter can take. `alarmed`: the
    process has no other use for its alarm, and cuts off a letter that takes longer.
    """
    server, deadline = MailServer(alarmed=alarmed), time.monotonic() + BATCH_SECONDS
    try:
        for mail, notices in _letters(token):
            if asked_to_stop() or time.monotonic() > deadline:
                patiently(lambda: give_back(token))
                return
            _carry_one(mail, notices, server)
    except Unreachable as error:
        trouble = error.trouble
        log.warning("%s", trouble.words)
        patiently(lambda: outcomes.write_untried(token, trouble, timezone.now()))
    finally:
        server.close()


# ---- What is in hand ------------------------------------------------------------------------
def _letters(token: uuid.UUID) -> Iterator[tuple[Mail, list[Notice]]]:
    """The letters in their order, with the notices that they carry as these are by now."""
    while in_hand := patiently(lambda: _read(token), seconds=READING_SECONDS):
        read_at = time.monotonic()
        for mail, notices in in_hand:
            if time.monotonic() - read_at > FRESH_SECONDS:
                break
            yield mail, notices


def _read(token: uuid.UUID) -> InHand:
    longest = timedelta(seconds=settings.MAIL_LETTER_SECONDS)
    if not renew(token, timezone.now() + longest * (1 + MARGIN)):
        return []
    mails = Mail.objects.filter(UNENDED, token=token).order_by("pk")
    listed = list(mails.select_related("coop", "member__user", "member__wishes"))
    notices: dict[int | None, list[Notice]] = defaultdict(list)
    standing = Notice.objects.filter(mail__in=listed, matter__dropped_at=None, too_late_at=None)
    for notice in standing.select_related("matter__coop").order_by("pk"):
        notices[notice.mail_id].append(notice)
    return [(mail, notices[mail.pk]) for mail in listed]


# ---- One letter -----------------------------------------------------------------------------
def _carry_one(mail: Mail, notices: list[Notice], server: MailServer) -> None:
    now = timezone.now()
    late = [notice for notice in notices if is_too_late(notice, now)]
    if late:
        patiently(lambda: outcomes.write_too_late(late, now))
    standing = [notice for notice in notices if notice not in late]
    mail.address = mail.member.user.email
    if not standing or not mail.address or mail.member.left_at:
        patiently(lambda: outcomes.write_dropped(mail, now))
        return
    if (morning := after_quiet_hours(mail, standing, now)) is not None:
        patiently(lambda: outcomes.write_waits(mail, morning))
        return
    trouble = _hand_over(mail, standing, server)
    if trouble is None:
        patiently(lambda: outcomes.write_sent(mail, timezone.now()))
    else:
        patiently(lambda: outcomes.write_trouble(mail, trouble, timezone.now()))


def _hand_over(mail: Mail, notices: list[Notice], server: MailServer) -> Trouble | None:
    """None for the server's yes. One letter that cannot be written must not stop the others."""
    try:
        return server.take(compose(mail, notices))
    except Unreachable:
        raise
    except Exception:  # raised before the server had the letter: after its yes nothing is done
        log.exception("Mail %s cannot be written", mail.pk)
        server.close()
        return CANNOT_WRITE


# ---- While the database is away -------------------------------------------------------------
def patiently(act: Callable[[], Result], *, seconds: float = WRITING_SECONDS) -> Result:
    """Do what reads or writes rows; while the database is away, try again until it is back.

    Each such act compares before it writes, so that one whose answer was lost may be done twice.
    """
    deadline, pause = time.monotonic() + seconds, FIRST_PAUSE_SECONDS
    while True:
        try:
            return act()
        except (OperationalError, InterfaceError) as error:
            if connection.in_atomic_block or time.monotonic() > deadline:
                raise
            log.warning("The database is away: %s", error)
            connection.close()
            time.sleep(pause)
            pause = min(2 * pause, LONGEST_PAUSE_SECONDS)
