"""What households want, the rules they accepted, and asks given up after the close."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.buying.models.buys import Buy, Line
from coop.people.models import Household, Member


class RulesAccepted(models.Model):
    """A household saw the buy's rules and said yes, with its first ask."""

    buy = models.ForeignKey(Buy, on_delete=models.PROTECT, related_name="acceptances")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["buy", "household"], name="rules_accepted_once_a_household"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household} accepts the rules of {self.buy}"


class Ask(models.Model):
    """What a household wants of one line, in base steps. `wanted` 0 is an ask given up.

    `whole` is the size of the container when the household takes whole ones only, else empty.
    """

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="asks")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="asks")
    wanted = models.PositiveIntegerField()
    at_least = models.PositiveIntegerField(default=0)
    at_most = models.PositiveIntegerField(null=True, blank=True)
    whole = models.PositiveIntegerField(null=True, blank=True)
    or_none = models.BooleanField(default=False)
    purpose = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    placed_at = models.DateTimeField(default=timezone.now)
    changed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering: ClassVar = ["line_id", "placed_at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["line", "household"], name="ask_once_a_household"),
            models.CheckConstraint(
                condition=Q(at_least__lte=F("wanted")),
                name="ask_at_least_within_wanted",
            ),
            models.CheckConstraint(
                condition=Q(at_most__isnull=True) | Q(at_most__gte=F("wanted")),
                name="ask_at_most_covers_wanted",
            ),
            models.CheckConstraint(
                condition=Q(whole__isnull=True) | Q(whole__gt=0),
                name="ask_whole_above_zero",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household}: {self.wanted} of {self.line}"


class Release(models.Model):
    """Part of an ask offered to others after the close. It counts only once somebody takes it."""

    ask = models.ForeignKey(Ask, on_delete=models.PROTECT, related_name="releases")
    amount = models.PositiveIntegerField()
    offered_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    offered_at = models.DateTimeField(default=timezone.now)
    taken_by = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_by_member = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["offered_at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="release_above_zero"),
            models.CheckConstraint(
                condition=Q(taken_at__isnull=True) | Q(withdrawn_at__isnull=True),
                name="release_taken_or_withdrawn",
            ),
            models.CheckConstraint(
                condition=Q(taken_at__isnull=True, taken_by__isnull=True)
                | Q(taken_at__isnull=False, taken_by__isnull=False),
                name="release_taken_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.ask}"
