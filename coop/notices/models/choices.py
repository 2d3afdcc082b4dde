"""What a member wants to be told, how, and how long before."""

from __future__ import annotations

import secrets
from datetime import time
from typing import ClassVar

from django.db import models

from coop.notices.kinds import ByMail, InCalendar
from coop.people.models import Member

SECRET_BYTES = 24


def new_secret() -> str:
    """The secret part of a calendar's address, for an address without any padding."""
    return secrets.token_urlsafe(SECRET_BYTES)


class Wishes(models.Model):
    """What a member wants of all notices. A member without a row has the defaults."""

    member = models.OneToOneField(Member, on_delete=models.CASCADE, related_name="wishes")
    quiet = models.BooleanField(default=True)
    quiet_from = models.TimeField(default=time(21))
    quiet_to = models.TimeField(default=time(7))
    daily_at = models.TimeField(default=time(18), help_text="of the one mail a day")
    feed_secret = models.CharField(max_length=64, unique=True, null=True, blank=True)
    changed_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "wishes"

    def __str__(self) -> str:
        return f"wishes of {self.member}"


class Choice(models.Model):
    """What a member wants of one kind. A kind without a row has its defaults."""

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="choices")
    kind = models.CharField(max_length=40)
    by_mail = models.CharField(max_length=8, choices=ByMail)
    calendar = models.CharField(max_length=8, choices=InCalendar, default=InCalendar.ALARM)
    on_site = models.BooleanField(default=True)
    timing = models.CharField(max_length=80, blank=True, help_text="code of a Timing of the kind")

    class Meta:
        ordering: ClassVar = ["member_id", "kind"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["member", "kind"], name="choice_once_a_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.by_mail}"
