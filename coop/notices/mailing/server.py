"""The mail server: one connection for one batch of letters."""

from __future__ import annotations

import smtplib
from contextlib import suppress

from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.core.mail.backends.smtp import EmailBackend

from coop.notices.mailing.outcomes import Trouble, trouble_of

NOT_TAKEN = Trouble("The letter was not taken, and nothing was said about why.")


class Unreachable(Exception):
    """No letter can be handed over now; `trouble` says why."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(trouble.words)
        self.trouble = trouble


class MailServer:
    """Hands letters over, one by one. Opens when it is needed, and again when it was cut off."""

    def __init__(self) -> None:
        self._kept: BaseEmailBackend | None = None

    def open(self) -> BaseEmailBackend:
        """A connection that can take a letter. Raises Unreachable."""
        if self._kept is not None:
            return self._kept
        opened = get_connection()
        if isinstance(opened, EmailBackend):
            try:
                opened.open()
            except (smtplib.SMTPException, OSError) as error:
                raise Unreachable(trouble_of(error)) from error
            self._kept = opened
        return opened

    def take(self, letter: EmailMessage) -> Trouble | None:
        """Hand a letter over: None for the server's yes. Raises Unreachable, and no letter went."""
        connection = self.open()
        try:
            taken = connection.send_messages([letter])
        except (smtplib.SMTPException, OSError) as error:
            self._close_if_cut(error)
            return trouble_of(error)
        return None if taken else NOT_TAKEN

    def _close_if_cut(self, error: Exception) -> None:
        """A no to one letter leaves the connection as it was; after all else a new one is made."""
        is_no = isinstance(error, smtplib.SMTPRecipientsRefused | smtplib.SMTPResponseException)
        client = getattr(self._kept, "connection", None)
        if not is_no or getattr(client, "sock", None) is None:
            self.close()

    def close(self) -> None:
        """Say goodbye. What was taken stays taken, whatever comes of it."""
        kept, self._kept = self._kept, None
        if kept is not None:
            with suppress(smtplib.SMTPException, OSError):
                kept.close()
