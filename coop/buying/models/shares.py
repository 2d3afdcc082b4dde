"""Divisions of a line, the shares they give, and the spare table."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.buying.models.buys import Line
from coop.people.models import Household, Member


class Division(models.Model):
    """How a line was divided, by which rule, published by whom. One stands at a time."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="divisions")
    rule = models.CharField(max_length=16)
    amount = models.PositiveIntegerField(help_text="usable base steps that were divided")
    left_over = models.PositiveIntegerField(default=0)
    surplus = models.PositiveIntegerField(
        default=0, help_text="part of what is left over that nobody asked for"
    )
    settled_for = models.CharField(
        max_length=200,
        blank=True,
        help_text="says so when the division is not proven the closest",
    )
    published_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    published_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-published_at", "-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["line"],
                condition=Q(withdrawn_at__isnull=True),
                name="division_one_standing_a_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.line} divided ({self.rule})"


class Share(models.Model):
    """What a household gets of a division. A household that asked and got nothing has a 0."""

    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="shares")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="shares")
    wanted = models.PositiveIntegerField()
    amount = models.PositiveIntegerField()
    fetched_at = models.DateTimeField(null=True, blank=True)
    ticked_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    released_at = models.DateTimeField(null=True, blank=True, help_text="put on the spare table")

    class Meta:
        ordering: ClassVar = ["division_id", "household__name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["division", "household"], name="share_once_a_household"
            ),
            models.CheckConstraint(
                condition=Q(fetched_at__isnull=True) | Q(released_at__isnull=True),
                name="share_fetched_or_released",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household}: {self.amount} of {self.division.line}"


class Spare(models.Model):
    """Something on the spare table: what a division left over, or a share nobody fetched."""

    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="spares")
    share = models.OneToOneField(
        Share, on_delete=models.PROTECT, null=True, blank=True, related_name="spare"
    )
    amount = models.PositiveIntegerField()
    offered_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["offered_at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="spare_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.amount} spare of {self.division.line}"


class SpareClaim(models.Model):
    """A household takes some of a spare. First come, first served; never more than is there."""

    spare = models.ForeignKey(Spare, on_delete=models.PROTECT, related_name="claims")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="+")
    amount = models.PositiveIntegerField()
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    fetched_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="spare_claim_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.household} takes {self.amount}"
