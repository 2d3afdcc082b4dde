"""Notices: one message to one member, with a time it is due."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from coop.notices.models.mails import Mail
from coop.notices.models.matters import Matter
from coop.people.models import Member


class Notice(models.Model):
    """What one member is told of a matter, once for each lead.

    `due_at` is when the site shows it, where `on_site`; `mail_at` is when it goes out by mail,
    later or earlier where the member has quiet hours or a daily mail, and empty for no mail.
    `mail` is the letter that carries it, once one was made.
    """

    matter = models.ForeignKey(Matter, on_delete=models.CASCADE, related_name="notices")
    member = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="notices")
    lead = models.CharField(max_length=20)
    due_at = models.DateTimeField()
    on_site = models.BooleanField(default=True)
    mail_at = models.DateTimeField(null=True, blank=True)
    mail = models.ForeignKey(
        Mail, on_delete=models.SET_NULL, null=True, blank=True, related_name="notices"
    )
    too_late_at = models.DateTimeField(
        null=True, blank=True, help_text="when it was found that mail would help nobody any more"
    )
    read_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["due_at", "id"]
        indexes: ClassVar = [
            models.Index(
                fields=["mail_at"],
                condition=models.Q(mail__isnull=True, mail_at__isnull=False, too_late_at=None),
                name="notice_waits_for_mail",
            ),
            models.Index(fields=["member", "due_at"], name="notice_of_a_member"),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["matter", "member", "lead"], name="notice_once_a_member_and_lead"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.matter} to {self.member}"
