"""What a coordinator wrote to those whom something concerns."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from coop.people.models import Coop, Member


class Writing(models.Model):
    """One letter by a member to a circle; `about` names it, as "buy:12". Never altered."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="writings")
    about = models.CharField(max_length=60)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    title = models.CharField(max_length=120)
    text = models.TextField(max_length=4000)
    at = models.DateTimeField(default=timezone.now)
    once = models.UUIDField(null=True, blank=True, unique=True, help_text="of the form, sent twice")

    class Meta:
        ordering: ClassVar = ["-at", "-id"]
        indexes: ClassVar = [models.Index(fields=["coop", "about"], name="writing_by_circle")]

    def __str__(self) -> str:
        return self.title
