"""What became of a letter: what the mail server's answer means, and what is written down."""

from __future__ import annotations

import smtplib
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from coop.core.reminders import put_off
from coop.notices.mailing.claiming import UNENDED
from coop.notices.mailing.lines import one_line
from coop.notices.models import Mail, Notice

GIVE_UP_AFTER = timedelta(days=3)
GIVEN_UP = "Given up after {days} days of trying. The last answer: {trouble}"

#: Answers of a mail server (RFC 5321, 4.2): from here on it is no for good.
FOR_GOOD = 500
#: It wants a sign-in, or refuses ours (RFC 4954, 6): that is about us, not about the letter.
OF_SIGN_IN = {530, 534, 535, 538}

TROUBLE_LENGTH = 400


@dataclass(frozen=True)
class Trouble:
    """Why a letter was not taken, as the server said it, and whether that is for good."""

    words: str
    for_good: bool = False


def trouble_of(error: Exception) -> Trouble:
    """What an error on the way to the mail server means.

    Only a no to the recipient or to the letter itself is for good. A no to the sender or to our
    sign-in would meet every letter: a person mends it, and the letters wait.
    """
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return _answered(*next(iter(error.recipients.values()), (0, b"")))
    if isinstance(error, smtplib.SMTPDataError):
        return _answered(error.smtp_code, error.smtp_error)
    if isinstance(error, smtplib.SMTPResponseException):
        return Trouble(_said(error.smtp_code, error.smtp_error))
    words = one_line(str(error)) or type(error).__name__
    return Trouble(f"The mail server could not be reached: {words}"[:TROUBLE_LENGTH])


def _answered(code: int, words: bytes | str) -> Trouble:
    return Trouble(_said(code, words), for_good=code >= FOR_GOOD and code not in OF_SIGN_IN)


def _said(code: int, words: bytes | str) -> str:
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return one_line(f"{code} {text}")[:TROUBLE_LENGTH]


# ---- Written down ---------------------------------------------------------------------------
def write_sent(mail: Mail, now: datetime) -> None:
    """It was taken. Written whoever holds it by now: nobody else then sends it once more."""
    Mail.objects.filter(pk=mail.pk, sent_at=None).update(
        sent_at=now,
        refused_at=None,
        dropped_at=None,
        address=mail.address,
        token=None,
        leased_until=None,
        trouble="",
    )


def write_trouble(mail: Mail, trouble: Trouble, now: datetime) -> None:
    """It was not taken: it ends here, or is tried again later."""
    attempts = mail.attempts + 1
    is_given_up = tried_for(attempts) >= GIVE_UP_AFTER
    words = trouble.words
    if is_given_up and not trouble.for_good:
        words = GIVEN_UP.format(days=GIVE_UP_AFTER.days, trouble=words)
    Mail.objects.filter(UNENDED, pk=mail.pk, token=mail.token).update(
        refused_at=now if trouble.for_good or is_given_up else None,
        try_at=now + wait_after(attempts, mail.uuid),
        attempts=attempts,
        address=mail.address,
        trouble=words[:TROUBLE_LENGTH],
        token=None,
        leased_until=None,
    )


def tried_for(attempts: int) -> timedelta:
    """How long it has been tried, by its tries: the time in which nothing was tried is not in it.

    >>> tried_for(1), tried_for(3).total_seconds() / 60
    (datetime.timedelta(0), 3.0)
    """
    return sum(map(put_off, range(1, attempts)), timedelta())


def wait_after(attempts: int, letter: uuid.UUID) -> timedelta:
    """How long a letter waits; up to a quarter longer by chance, the same chance each time."""
    return put_off(attempts) * (1 + (letter.int % 1000) / 4000)


def write_untried(token: uuid.UUID, trouble: Trouble, now: datetime) -> None:
    """No server was reached: what is left of a batch waits a little, and no try is counted."""
    Mail.objects.filter(UNENDED, token=token).update(
        try_at=now + put_off(1), trouble=trouble.words, token=None, leased_until=None
    )


def write_waits(mail: Mail, until: datetime) -> None:
    """It was not tried: its reader is asleep."""
    Mail.objects.filter(UNENDED, pk=mail.pk, token=mail.token).update(
        try_at=until, token=None, leased_until=None
    )


def write_dropped(mail: Mail, now: datetime) -> None:
    """All that it would say has gone."""
    Mail.objects.filter(UNENDED, pk=mail.pk, token=mail.token).update(
        dropped_at=now, token=None, leased_until=None
    )


def write_too_late(notices: Iterable[Notice], now: datetime) -> None:
    """While the letter waited for its next try, these became of no help to anybody."""
    Notice.objects.filter(pk__in=[notice.pk for notice in notices]).update(too_late_at=now)
