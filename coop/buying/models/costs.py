"""Which entries in the books belong to which buy, and why."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.buying.models.buys import Buy, Line
from coop.buying.models.farms import Farm
from coop.buying.models.shares import SpareClaim
from coop.money.models import Entry
from coop.people.models import Household, Member


class Charge(models.Model):
    """A cost of a buy, shared on a basis. Its entry holds what it came to for each household.

    It stands until its entry is reversed: `reversed_at` is set in the same transaction.
    """

    class What(models.TextChoices):
        PRODUCE = "produce", "produce"
        FUEL = "fuel", "fuel"
        KITCHEN = "kitchen", "kitchen hire"
        PROPANE = "propane", "propane"
        LIDS = "lids", "lids and jars"
        OTHER = "other", "other"
        LATE_CHANGE = "late_change", "late change"
        NO_SHOW = "no_show", "no-show"
        CLAIM = "claim", "from the spare table"
        CREDIT = "credit", "farm's credit"
        UNCLAIMED = "unclaimed", "surplus nobody claimed"

    buy = models.ForeignKey(Buy, on_delete=models.PROTECT, related_name="charges")
    line = models.ForeignKey(
        Line, on_delete=models.PROTECT, null=True, blank=True, related_name="charges"
    )
    what = models.CharField(max_length=12, choices=What)
    title = models.CharField(max_length=120)
    cents = models.PositiveBigIntegerField()
    basis = models.CharField(max_length=10, choices=Buy.Basis, blank=True)
    claim = models.ForeignKey(
        SpareClaim, on_delete=models.PROTECT, null=True, blank=True, related_name="charges"
    )
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="charge")
    made_at = models.DateTimeField(default=timezone.now)
    reversed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["made_at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["line"],
                condition=Q(what="produce", reversed_at__isnull=True),
                name="charge_produce_once_a_line",
            ),
            models.UniqueConstraint(
                fields=["claim"],
                condition=Q(claim__isnull=False, reversed_at__isnull=True),
                name="charge_once_a_claim",
            ),
            models.CheckConstraint(condition=Q(cents__gt=0), name="charge_above_zero"),
        ]

    def __str__(self) -> str:
        return self.title


class BuyPayment(models.Model):
    """Money that changed hands for a buy: a farm paid, a prepayment, cash at the pickup."""

    buy = models.ForeignKey(Buy, on_delete=models.PROTECT, related_name="payments")
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="buy_payment")
    farm = models.ForeignKey(
        Farm, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    household = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cents = models.PositiveBigIntegerField()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(cents__gt=0), name="buy_payment_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.cents} for {self.buy}"
