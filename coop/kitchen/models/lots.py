"""The jars of one household out of one load: counted in, counted out, sealed or not, eaten."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.buying.models import Farm, Share
from coop.jars.kinds import Mouth
from coop.kitchen.models.loads import Load
from coop.kitchen.models.plans import Use, Way
from coop.people.models import Coop, Household, Member


class Lot(models.Model):
    """Jars of one household and one product out of one load; or one freezing or drying.

    `number` counts within the co-op; with its check digit it is the code on the label.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="lots")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="lots")
    number = models.PositiveIntegerField()
    way = models.CharField(max_length=8, choices=Way, default=Way.CAN)
    load = models.ForeignKey(
        Load, on_delete=models.PROTECT, null=True, blank=True, related_name="lots"
    )
    use = models.ForeignKey(
        Use, on_delete=models.PROTECT, null=True, blank=True, related_name="lots"
    )
    share = models.ForeignKey(
        Share, on_delete=models.PROTECT, null=True, blank=True, related_name="lots"
    )
    farm = models.ForeignKey(
        Farm, on_delete=models.PROTECT, null=True, blank=True, related_name="lots"
    )
    produce = models.CharField(max_length=40)
    product = models.CharField(max_length=60)
    pack = models.CharField(max_length=4, blank=True)
    option = models.PositiveSmallIntegerField(default=1)
    jar = models.CharField(max_length=12, blank=True, help_text="or freezer container")
    mouth = models.CharField(max_length=8, choices=Mouth, default=Mouth.REGULAR)
    made_on = models.DateField()
    counted_in = models.PositiveIntegerField()
    counted_out = models.PositiveIntegerField(null=True, blank=True)
    difference_why = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-made_on", "-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["coop", "number"], name="lot_number_once_in_a_coop"),
            models.CheckConstraint(condition=Q(counted_in__gt=0), name="lot_of_some_jars"),
            models.CheckConstraint(
                condition=Q(way="can", load__isnull=False) | ~Q(way="can") & Q(load__isnull=True),
                name="lot_canned_in_a_load",
            ),
            models.CheckConstraint(
                condition=Q(counted_out__isnull=True)
                | Q(counted_out=F("counted_in"))
                | ~Q(difference_why=""),
                name="lot_difference_is_explained",
            ),
        ]

    def __str__(self) -> str:
        return f"lot {self.number}: {self.product}"


class SealCheck(models.Model):
    """How many jars of a lot had sealed, tried 12 to 24 hours after the load."""

    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="seal_check")
    sealed = models.PositiveIntegerField()
    checked_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.sealed} sealed of {self.lot}"


class Fate(models.Model):
    """What became of jars that did not seal. Never more than did not (triggers)."""

    class What(models.TextChoices):
        REPROCESSED = "reprocessed", "processed again, whole time, new lid"
        FRIDGE = "fridge", "into the fridge, to eat within days"
        FREEZER = "freezer", "into the freezer"
        THROWN_OUT = "thrown_out", "thrown out"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="fates")
    what = models.CharField(max_length=12, choices=What)
    count = models.PositiveIntegerField()
    new_lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="came_of"
    )
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(count__gt=0), name="fate_of_some_jars"),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.what}"


class Taken(models.Model):
    """Jars that left the shelf. Never more than stand there (triggers)."""

    class What(models.TextChoices):
        USED = "used", "used"
        GIVEN = "given", "given to another household"
        THROWN_OUT = "thrown_out", "thrown out"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="taken")
    what = models.CharField(max_length=12, choices=What, default=What.USED)
    count = models.PositiveIntegerField()
    given_to = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True, help_text="a slip of the finger")

    class Meta:
        ordering: ClassVar = ["at", "id"]
        verbose_name_plural = "taken"
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(count__gt=0), name="taken_some_jars"),
            models.CheckConstraint(
                condition=Q(what="given", given_to__isnull=False)
                | ~Q(what="given") & Q(given_to__isnull=True),
                name="taken_given_to_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.what} of {self.lot}"
