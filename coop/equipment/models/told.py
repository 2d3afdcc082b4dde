"""What a household was told about its bookings; each stands on This week until it is read."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from coop.equipment.models.bookings import Booking
from coop.equipment.models.things import Thing
from coop.people.models import Coop, Household, Member


class Told(models.Model):
    """One sentence to one household, about a thing and perhaps a booking."""

    class What(models.TextChoices):
        SHIFTED = "shifted", "your booking was moved"
        OUT_OF_ORDER = "out_of_order", "a thing you booked is out of order"
        IN_ORDER = "in_order", "it is in order again"
        OFFERED = "offered", "a time in line is yours to take"
        LAPSED = "lapsed", "an offer ran out"
        CHANGED = "changed", "somebody changed your booking"
        REFUSED = "refused", "the next in line cannot take the new time"
        LATE = "late", "it is not back yet"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="told")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="told")
    what = models.CharField(max_length=12, choices=What)
    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="told")
    booking = models.ForeignKey(
        Booking, on_delete=models.PROTECT, null=True, blank=True, related_name="told"
    )
    sentence = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now)
    read_at = models.DateTimeField(null=True, blank=True)
    read_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-at", "-id"]
        verbose_name_plural = "told"
        indexes: ClassVar = [
            models.Index(fields=["household", "read_at"], name="told_household_read"),
        ]

    def __str__(self) -> str:
        return self.sentence
