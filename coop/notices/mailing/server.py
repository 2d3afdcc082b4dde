"""The mail server: one connection for one batch of letters."""

from __future__ import annotations

import signal
import smtplib
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.core.mail.backends.smtp import EmailBackend

from coop.notices.mailing.outcomes import Trouble, trouble_of

NOT_TAKEN = Trouble("The letter was not taken, and nothing was said about why.")
TOO_LONG = "It took too long."
#: Until a letter that takes too long has ended, it is cut off again and again.
CUT_AGAIN_SECONDS = 1.0


class Unreachable(Exception):
    """No letter can be handed over now; `trouble` says why."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble.words)
        self.trouble = trouble


class MailServer:
    """Hands letters over, one by one. Opens when it is needed, and again when it was cut off.

    `alarmed`: no letter may take longer than MAIL_LETTER_SECONDS in all. It needs the alarm of the
    process; without it each answer of the server may take so long.
    """

    def __init__(self, *, alarmed: bool = False) -> None:
        self._kept: EmailBackend | None = None
        self._alarmed = alarmed
        self._is_handing_over = False
        if alarmed:
            signal.signal(signal.SIGALRM, self._cut)

    def take(self, letter: EmailMessage) -> Trouble | None:
        """Hand a letter over: None for the server's yes. Raises Unreachable, and no letter went."""
        with self._in_time():
            connection = self._open()
            self._is_handing_over = True
            try:
                taken = connection.send_messages([letter])
            except (smtplib.SMTPException, OSError) as error:
                self._close_if_cut(error)
                return trouble_of(error)
            return None if taken else NOT_TAKEN

    def _open(self) -> BaseEmailBackend:
        if self._kept is not None:
            return self._kept
        opened = get_connection()
        if isinstance(opened, EmailBackend):
            try:
                opened.open()
            except (smtplib.SMTPException, OSError) as error:
                raise Unreachable(trouble_of(error)) from error
            self._kept = opened
            if (line := self._line()) is not None:
                line.settimeout(settings.MAIL_LETTER_SECONDS)
        return opened

    def _line(self) -> socket.socket | None:
        client = self._kept.connection if self._kept else None
        return client.sock if client else None

    def _close_if_cut(self, error: Exception) -> None:
        """A no to one letter leaves the connection as it was; after all else a new one is made."""
        is_no = isinstance(error, smtplib.SMTPRecipientsRefused | smtplib.SMTPResponseException)
        if not is_no or self._line() is None:
            self.close()

    def close(self) -> None:
        """Say goodbye. What was taken stays taken, whatever comes of it."""
        kept, self._kept = self._kept, None
        if kept is not None:
            with suppress(smtplib.SMTPException, OSError):
                kept.close()

    # ---- No longer than the lease -----------------------------------------------------------
    @contextmanager
    def _in_time(self) -> Iterator[None]:
        try:
            if self._alarmed:
                signal.setitimer(
                    signal.ITIMER_REAL, settings.MAIL_LETTER_SECONDS, CUT_AGAIN_SECONDS
                )
            yield
        finally:
            if self._alarmed:
                signal.setitimer(signal.ITIMER_REAL, 0)
            self._is_handing_over = False

    def _cut(self, number: int, frame: FrameType | None) -> None:
        """Time is up. An error raised here could come after the yes, and hide it.

        So while a letter is handed over only the line is cut: whoever waits for an answer finds
        that none will come, and whoever has one keeps it.
        """
        if not self._is_handing_over:
            raise TimeoutError(TOO_LONG)
        if (line := self._line()) is not None:
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)
