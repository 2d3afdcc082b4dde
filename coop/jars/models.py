"""Tables of jars: counts with their date, and loans as movements. No sum is ever stored."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.jars.kinds import KINDS, Mouth
from coop.people.models import Coop, Household, Member


class Count(models.Model):
    """One counting of a household's jars. The newest is what it has; the older are its history."""

    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="jar_counts")
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.household}, {self.at:%Y-%m-%d}"


class CountedJars(models.Model):
    """Jars of one kind in a count: full ones, empty ones, and how many of the empty it can lend."""

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="jars")
    kind = models.CharField(max_length=24, choices=list(KINDS.items()))
    full = models.PositiveIntegerField(default=0)
    empty = models.PositiveIntegerField(default=0)
    spare = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["count_id", "id"]
        verbose_name_plural = "counted jars"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["count", "kind"], name="jars_kind_once_in_a_count"),
            models.CheckConstraint(
                condition=Q(spare__lte=F("empty")), name="jars_spare_are_empty_ones"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.full} full, {self.empty} empty {self.kind}"


class CountedLids(models.Model):
    """New lids and usable bands for one mouth in a count."""

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="lids")
    mouth = models.CharField(max_length=8, choices=Mouth)
    lids = models.PositiveIntegerField(default=0)
    bands = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["count_id", "mouth"]
        verbose_name_plural = "counted lids"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["count", "mouth"], name="lids_mouth_once_in_a_count"),
        ]

    def __str__(self) -> str:
        return f"{self.lids} lids, {self.bands} bands, {self.mouth}"


class Loan(models.Model):
    """Jars that one household lends another: asked or offered, and agreed by the other side."""

    class Started(models.TextChoices):
        ASKED = "asked", "asked for by the borrower"
        OFFERED = "offered", "offered by the lender"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="jar_loans")
    lender = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="jars_lent")
    borrower = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="jars_borrowed")
    started = models.CharField(max_length=8, choices=Started)
    due_on = models.DateField(help_text="the day the jars should be back")
    message = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    agreed_at = models.DateTimeField(null=True, blank=True)
    agreed_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ended_at = models.DateTimeField(
        null=True, blank=True, help_text="declined or withdrawn before any jar changed hands"
    )
    ended_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-at", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(lender=F("borrower")), name="loan_between_two_households"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lender} to {self.borrower}"


class LoanLine(models.Model):
    """How many jars of one kind a loan is about."""

    loan = models.ForeignKey(Loan, on_delete=models.CASCADE, related_name="lines")
    kind = models.CharField(max_length=24, choices=list(KINDS.items()))
    count = models.PositiveIntegerField()

    class Meta:
        ordering: ClassVar = ["loan_id", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["loan", "kind"], name="loan_kind_once"),
            models.CheckConstraint(condition=Q(count__gt=0), name="loan_line_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.kind}"


class JarMove(models.Model):
    """Jars that changed hands. Rows are never changed or deleted (triggers)."""

    class What(models.TextChoices):
        HANDED_OVER = "handed_over", "handed over"
        RETURNED = "returned", "returned"
        BROKEN = "broken", "broken"
        KEPT = "kept", "kept, with the lender's yes"

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="moves")
    kind = models.CharField(max_length=24, choices=list(KINDS.items()))
    what = models.CharField(max_length=12, choices=What)
    count = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(count__gt=0), name="jar_move_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.kind} {self.what}"
