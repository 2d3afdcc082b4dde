"""The private address of a member's calendar: made, made anew, ended."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from coop.notices.models import Wishes, new_secret
from coop.people.models import Member


def renew_feed(*, by: Member) -> str:
    """Give a member's calendar a new address; the one before opens nothing any more.

    Returns the secret part of the address.
    """
    secret = new_secret()
    _save(by, secret)
    return secret


def end_feed(*, by: Member) -> None:
    """Take a member's calendar off the net; without one nothing changes."""
    _save(by, None)


def _save(member: Member, secret: str | None) -> None:
    now = timezone.now()
    with transaction.atomic():
        Wishes.objects.get_or_create(member=member, defaults={"changed_at": now})
        Wishes.objects.filter(member=member).update(feed_secret=secret, changed_at=now)
