"""Mails: the letters that carry notices, and what the mail server said to each."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from coop.people.models import Coop, Member


class Mail(models.Model):
    """One letter to one member, with all notices that were due to them at that time.

    Whoever holds `token` until `leased_until` delivers it, and nobody else. It ends in one of
    three ways: `sent_at`, with the mail server's yes; `refused_at`, with its no for good, or ours
    after days of trying; `dropped_at`, when all that it would say has gone.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="mails")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="mails")
    address = models.EmailField()
    uuid = models.UUIDField(
        unique=True, default=uuid.uuid4, help_text="in its Message-ID, for good"
    )
    made_at = models.DateTimeField()

    token = models.UUIDField(null=True, blank=True)
    leased_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveIntegerField(default=0)
    try_at = models.DateTimeField(help_text="not before")
    trouble = models.CharField(max_length=400, blank=True, help_text="what the last try met")

    sent_at = models.DateTimeField(null=True, blank=True)
    refused_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(
        null=True, blank=True, help_text="when a coordinator took note of the refusal"
    )

    class Meta:
        ordering: ClassVar = ["made_at", "id"]
        indexes: ClassVar = [
            models.Index(
                fields=["try_at"],
                condition=Q(sent_at=None, refused_at=None, dropped_at=None),
                name="mail_waits",
            ),
            models.Index(fields=["token"], name="mail_by_token"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(sent_at=None, refused_at=None)
                | Q(sent_at=None, dropped_at=None)
                | Q(refused_at=None, dropped_at=None),
                name="mail_ends_in_one_way",
            ),
            models.CheckConstraint(
                condition=Q(token=None, leased_until=None)
                | Q(token__isnull=False, leased_until__isnull=False),
                name="mail_lease_has_holder_and_end",
            ),
        ]

    def __str__(self) -> str:
        return f"to {self.address}"
