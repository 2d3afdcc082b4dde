"""Whether a thing is fit for use: gauge tests, care, and what is wrong with it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.equipment.models.handovers import Handover
from coop.equipment.models.things import Thing
from coop.people.models import Member


class GaugeTest(models.Model):
    """A dial gauge held against one that is right; both in tenths of a psi."""

    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="gauge_tests")
    tested_on = models.DateField()
    tester = models.CharField(max_length=120, help_text="who tested it, and where")
    true_tenths = models.PositiveSmallIntegerField()
    read_tenths = models.PositiveSmallIntegerField()
    is_new_gauge = models.BooleanField(default=False)
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-tested_on", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(true_tenths__gt=0), name="gauge_tested_under_pressure"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing}, {self.tested_on}"


class Care(models.Model):
    """What must be looked after on a thing, by uses, by months, or by whichever comes first."""

    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="cares")
    what = models.CharField(max_length=60)
    every_uses = models.PositiveSmallIntegerField(null=True, blank=True)
    every_months = models.PositiveSmallIntegerField(null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["thing_id", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["thing", "what"], name="care_once_a_thing"),
            models.CheckConstraint(
                condition=Q(every_uses__gt=0) | Q(every_months__gt=0),
                name="care_comes_round",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.what}"


class CareDone(models.Model):
    """Somebody looked after it."""

    care = models.ForeignKey(Care, on_delete=models.CASCADE, related_name="done")
    done_at = models.DateTimeField(default=timezone.now)
    note = models.CharField(max_length=400, blank=True)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-done_at", "-id"]
        verbose_name_plural = "care done"

    def __str__(self) -> str:
        return f"{self.care}, {self.done_at:%Y-%m-%d}"


class Fault(models.Model):
    """What is wrong with a thing until mended: it stops new bookings, or the next handover."""

    class What(models.TextChoices):
        BUMPED = "bumped", "dropped or bumped"
        GAUGE_OFF = "gauge_off", "the gauge is off"
        DAMAGED = "damaged", "damaged"
        PART_MISSING = "part_missing", "a part is missing"
        NOT_CLEAN = "not_clean", "not clean"
        OTHER = "other", "something else"

    class Stops(models.TextChoices):
        BOOKINGS = "bookings", "out of order"
        HANDOVER = "handover", "to see to before the next handover"

    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="faults")
    handover = models.ForeignKey(
        Handover, on_delete=models.PROTECT, null=True, blank=True, related_name="faults"
    )
    what = models.CharField(max_length=12, choices=What)
    stops = models.CharField(max_length=8, choices=Stops)
    sentence = models.CharField(max_length=300)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    mended_at = models.DateTimeField(null=True, blank=True)
    mended_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mended_how = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(mended_at__isnull=True) | ~Q(mended_how=""),
                name="fault_mended_says_how",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing}: {self.sentence}"
