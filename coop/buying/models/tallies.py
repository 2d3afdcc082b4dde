"""What was really loaded at the farm."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.buying.models.buys import Supply
from coop.people.models import Member


class Tally(models.Model):
    """One supply as it came, in base steps.

    Delivered is the sum of its weighings less their tare. Accepted is delivered less `refused`
    (left with the farm, not paid for); usable is accepted less `culls` (paid for, fit for nobody).
    `soft` is for today and `firm` for later; what is neither was not sorted.
    """

    supply = models.OneToOneField(Supply, on_delete=models.PROTECT, related_name="tally")
    containers = models.PositiveIntegerField()
    refused = models.PositiveIntegerField(default=0)
    culls = models.PositiveIntegerField(default=0)
    soft = models.PositiveIntegerField(default=0)
    firm = models.PositiveIntegerField(default=0)
    grade = models.CharField(max_length=40, blank=True)
    bill_cents = models.PositiveIntegerField(help_text="what the farm really charges for it")
    note = models.CharField(max_length=400, blank=True)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name_plural = "tallies"

    def __str__(self) -> str:
        return f"{self.containers} of {self.supply}"


class Weighing(models.Model):
    """What the scale (or the count of pieces) said for one or more containers together."""

    tally = models.ForeignKey(Tally, on_delete=models.CASCADE, related_name="weighings")
    containers = models.PositiveIntegerField(default=1)
    gross = models.PositiveIntegerField()
    tare = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["tally_id", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(tare__lte=F("gross")), name="weighing_tare_within_gross"
            ),
            models.CheckConstraint(
                condition=Q(containers__gt=0), name="weighing_of_some_container"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gross} less {self.tare}"
