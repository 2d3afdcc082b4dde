"""The post, on foot: what is due by mail at this moment is gathered, claimed and carried."""

from django.core import mail
from django.core.mail import EmailMessage
from django.utils import timezone

from coop.notices.mailing.carrier import carry
from coop.notices.mailing.claiming import claim, gather


def post() -> list[EmailMessage]:
    """Send all mail that is due now; the letters that went out, in the order they went."""
    before = len(mail.outbox)
    now = timezone.now()
    while gather(now):
        pass
    while token := claim(now):
        carry(token)
    return mail.outbox[before:]
