"""For measuring: a mail server that is nothing, and a task that does nothing."""

from typing import Any

from celery import shared_task
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class EmailBackend(BaseEmailBackend):
    """Takes every letter as soon as it is offered."""

    def send_messages(self, email_messages: Any) -> int:
        letters: list[EmailMessage] = list(email_messages)
        return len([letter.message().as_bytes() for letter in letters])


@shared_task
def nothing() -> None:
    """Do nothing."""
