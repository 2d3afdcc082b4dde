"""The signed link of an invitation, what became of it, and the letter that carries it."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from allauth.account.models import EmailAddress
from django.core import signing
from django.core.mail import send_mail
from django.template.loader import render_to_string

from coop.people.models import Invitation, User

SALT = "coop.people.invitation"
GOOD_FOR = timedelta(days=14)


def token_of(invitation: Invitation) -> str:
    """The signed part of the link. It names the sending: a link sent earlier is void."""
    sent = int(invitation.expires_at.timestamp())
    return signing.Signer(salt=SALT).sign_object([invitation.pk, sent])


def invitation_of(token: str) -> Invitation | None:
    """The invitation that a token was signed for; None for a token that is not ours, or not whole.

    Says nothing of whether it can still be used: see `gone`.
    """
    try:
        pk, sent = signing.Signer(salt=SALT).unsign_object(token)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    invitation = (
        Invitation.objects.select_related("coop", "household", "invited_by").filter(pk=pk).first()
    )
    if invitation is None or int(invitation.expires_at.timestamp()) != sent:
        return None
    return invitation


def gone(invitation: Invitation, now: datetime) -> str:
    """Why an invitation cannot be used any more: "used", "withdrawn", "expired"; "" when it can."""
    if invitation.accepted_at:
        return "used"
    if invitation.withdrawn_at:
        return "withdrawn"
    return "expired" if invitation.expires_at <= now else ""


def owner_of(invitation: Invitation) -> User | None:
    """Who signs in with the invited address already; None when nobody does."""
    email = invitation.email.lower()
    address = EmailAddress.objects.select_related("user").filter(email=email, verified=True).first()
    return address.user if address else User.objects.filter(email=email).first()


def send_letter(invitation: Invitation, link: str) -> bool:
    """Mail the link to the invited address; False when the mail server does not take it."""
    until = invitation.expires_at.astimezone(ZoneInfo(invitation.coop.time_zone))
    context = {
        "invitation": invitation,
        "coop": invitation.coop,
        "link": link,
        "until": f"{until:%A} {until.day} {until:%B}",
    }
    subject = " ".join(f"{invitation.invited_by.name} invites you to {invitation.coop}".split())
    body = render_to_string("people/letters/invitation.txt", context)
    try:
        return bool(send_mail(subject, body, None, [invitation.email]))
    except OSError:  # SMTPException is one, and so is a server that is not there
        return False
