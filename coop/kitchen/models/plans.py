"""What a household means to make of its produce, and what it really put up."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.buying.models import Farm, Share
from coop.jars.kinds import Mouth
from coop.kitchen.models.kitchens import Kitchen
from coop.people.models import Coop, Household, Member


class Way(models.TextChoices):
    """How food is kept."""

    CAN = "can", "canned"
    FREEZE = "freeze", "frozen"
    DRY = "dry", "dried"


class Plan(models.Model):
    """Produce of one household, from a share or typed in, to be put up in one or more uses.

    `produce` is a key of the published tables. The altitude is the kitchen's, else the co-op's.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="plans")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="plans")
    share = models.OneToOneField(
        Share, on_delete=models.PROTECT, null=True, blank=True, related_name="plan"
    )
    farm = models.ForeignKey(
        Farm, on_delete=models.PROTECT, null=True, blank=True, related_name="plans"
    )
    kitchen = models.ForeignKey(
        Kitchen, on_delete=models.PROTECT, null=True, blank=True, related_name="plans"
    )
    produce = models.CharField(max_length=40)
    tenths = models.PositiveIntegerField(help_text="tenths of a pound")
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(tenths__gt=0), name="plan_of_something"),
        ]

    def __str__(self) -> str:
        return f"{self.household}: {self.produce}"


class Use(models.Model):
    """One thing to make of a plan's produce, by its keys in the published tables.

    `product` is a product of canning, or a form of freezing or drying; `jar` is empty for drying.
    `under` is the wider key that the row stands under, as "fruit_any" for a jam of strawberries.
    `jars` is set, and `tenths` 0, where no yield is published and it is planned by the jar.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="uses")
    way = models.CharField(max_length=8, choices=Way)
    under = models.CharField(max_length=40, blank=True)
    product = models.CharField(max_length=60)
    pack = models.CharField(max_length=4, blank=True)
    method = models.CharField(max_length=16, blank=True)
    jar = models.CharField(max_length=12, blank=True)
    mouth = models.CharField(max_length=8, choices=Mouth, default=Mouth.REGULAR)
    option = models.PositiveSmallIntegerField(default=1)
    tenths = models.PositiveIntegerField(default=0, help_text="tenths of a pound")
    jars = models.PositiveIntegerField(null=True, blank=True)
    jars_per_load = models.PositiveSmallIntegerField(default=7)
    acid = models.CharField(max_length=24, blank=True)
    syrup = models.CharField(max_length=12, blank=True)
    salt = models.BooleanField(default=False)
    tray_tenths = models.PositiveIntegerField(
        default=0, help_text="tenths of a pound of prepared food on a dryer's tray"
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["plan_id", "position", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(tenths__gt=0) | Q(jars__gt=0), name="use_of_something"
            ),
            models.CheckConstraint(
                condition=Q(way="can", pack__in=["hot", "raw"])
                & ~Q(method="")
                & ~Q(jar="")
                & Q(jars_per_load__gt=0)
                | Q(way="freeze") & ~Q(jar="")
                | Q(way="dry", tray_tenths__gt=0),
                name="use_says_how",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product}, {self.way}"

    @property
    def food(self) -> str:
        """The produce key under which its row stands in the tables."""
        return self.under or self.plan.produce


class Outcome(models.Model):
    """What was really put up of a use: pounds used, and full jars or bags that came of it."""

    use = models.OneToOneField(Use, on_delete=models.PROTECT, related_name="outcome")
    tenths = models.PositiveIntegerField(help_text="tenths of a pound, as it came from the farm")
    jars = models.PositiveIntegerField(help_text="jars or freezer containers; 0 when dried")
    dried_tenths = models.PositiveIntegerField(
        null=True, blank=True, help_text="tenths of a pound after drying"
    )
    on = models.DateField()
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-on", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(tenths__gt=0), name="outcome_of_something"),
        ]

    def __str__(self) -> str:
        return f"{self.jars} of {self.use}"
