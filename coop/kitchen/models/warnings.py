"""Warning everyone who has certain jars, and who has said that they read it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from coop.buying.models import Supply
from coop.kitchen.models.loads import Load
from coop.kitchen.models.lots import Lot
from coop.people.models import Coop, Household, Member


class JarWarning(models.Model):
    """One warning about the jars of a lot, of a load, or of what a farm delivered."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="jar_warnings")
    lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="warnings"
    )
    load = models.ForeignKey(
        Load, on_delete=models.PROTECT, null=True, blank=True, related_name="warnings"
    )
    supply = models.ForeignKey(
        Supply, on_delete=models.PROTECT, null=True, blank=True, related_name="warnings"
    )
    sentence = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return self.sentence


class WarningTo(models.Model):
    """A household that has, or had, some of the jars; `lots` are theirs, as their codes."""

    warning = models.ForeignKey(JarWarning, on_delete=models.CASCADE, related_name="told")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="+")
    jars = models.CharField(max_length=200, help_text="which of their jars, in words")
    read_at = models.DateTimeField(null=True, blank=True)
    read_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["warning_id", "household__name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["warning", "household"], name="warning_once_a_household"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household}: {self.jars}"
