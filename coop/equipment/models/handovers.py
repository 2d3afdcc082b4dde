"""Things changing hands: out to a household, and back. Rows are never changed (triggers)."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.equipment.models.bookings import Booking
from coop.people.models import Member


class Handover(models.Model):
    """A booked thing going out or coming back, in what condition.

    `bumped`: dropped or bumped while it was out. `reading` is what its kind says to read off it, in
    tenths. `uses` counts loads or batches run.
    """

    class What(models.TextChoices):
        OUT = "out", "out"
        BACK = "back", "back"

    class Condition(models.TextChoices):
        GOOD = "good", "clean and whole"
        WORN = "worn", "works, with a flaw"
        NOT_CLEAN = "not_clean", "not clean"
        DAMAGED = "damaged", "damaged"

    booking = models.ForeignKey(Booking, on_delete=models.PROTECT, related_name="handovers")
    what = models.CharField(max_length=4, choices=What)
    condition = models.CharField(max_length=12, choices=Condition)
    bumped = models.BooleanField(default=False)
    reading_tenths = models.IntegerField(null=True, blank=True)
    uses = models.PositiveSmallIntegerField(default=0)
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["booking", "what"], name="handover_once_each_way"),
            models.CheckConstraint(
                condition=Q(what="back") | Q(bumped=False, uses=0),
                name="handover_used_before_it_is_back",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.booking}: {self.what}"


class CountedPart(models.Model):
    """How many of a part there should have been at a handover, and how many were counted."""

    handover = models.ForeignKey(Handover, on_delete=models.CASCADE, related_name="parts")
    name = models.CharField(max_length=40)
    expected = models.PositiveSmallIntegerField()
    counted = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["handover_id", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["handover", "name"], name="part_counted_once"),
        ]

    def __str__(self) -> str:
        return f"{self.counted} of {self.expected} {self.name}"
