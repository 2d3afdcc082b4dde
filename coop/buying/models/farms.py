"""Who sells, and the lines of its price list."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone

from coop.money.models import Account
from coop.people.models import Coop


class Measure(models.TextChoices):
    """The base unit of a line: every amount of it is a whole number of these."""

    WEIGHT = "weight", "by weight, in tenths of a pound"
    COUNT = "count", "by count, in pieces"


class Farm(models.Model):
    """Who sells, how to reach them, and how far the trip is."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="farms")
    account = models.OneToOneField(Account, on_delete=models.PROTECT, related_name="farm")
    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.CharField(max_length=200, blank=True)
    round_trip_miles = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=400, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint("coop", Lower("name"), name="farm_name_once_in_a_coop"),
        ]

    def __str__(self) -> str:
        return self.name


class Offer(models.Model):
    """One line of a farm's price list: a container of one produce, with its price breaks."""

    farm = models.ForeignKey(Farm, on_delete=models.PROTECT, related_name="offers")
    produce = models.CharField(max_length=80)
    container = models.CharField(max_length=40, help_text="bushel, lug, crate, flat, bag, dozen …")
    measure = models.CharField(max_length=8, choices=Measure, default=Measure.WEIGHT)
    size = models.PositiveIntegerField(help_text="base steps in one container")
    available = models.PositiveIntegerField(null=True, blank=True, help_text="containers")
    at_least = models.PositiveIntegerField(default=0, help_text="containers")
    note = models.CharField(max_length=200, blank=True, help_text="grade, variety, season")
    retired_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["produce", "container", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(size__gt=0), name="offer_container_holds_something"),
        ]

    def __str__(self) -> str:
        return f"{self.produce} by the {self.container}"


class PriceBreak(models.Model):
    """From this many containers on, all of them cost this much each."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="prices")
    from_count = models.PositiveIntegerField()
    cents_each = models.PositiveIntegerField()

    class Meta:
        ordering: ClassVar = ["offer_id", "from_count"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["offer", "from_count"], name="price_break_once_a_count"
            ),
            models.CheckConstraint(condition=Q(from_count__gt=0), name="price_break_from_one_up"),
        ]

    def __str__(self) -> str:
        return f"from {self.from_count}: {self.cents_each}"
