"""Matters: what there is to tell, to whom, and which moment it is about."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from coop.people.models import Coop, Household, Member


class Matter(models.Model):
    """One thing to tell to one household, one member, or everybody with a role.

    `about` names the cause, as "buy:12"; `key` tells it from all other matters of the co-op. One
    row with a key stands at a time. When a cause moves after somebody was told, the row is dropped
    and a new one stands in its place, so that what was said stays as it was said.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="matters")
    kind = models.CharField(max_length=40)
    about = models.CharField(max_length=60)
    key = models.CharField(max_length=120)

    household = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="matters"
    )
    member = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="matters"
    )
    role = models.CharField(max_length=12, blank=True)
    not_to = models.ForeignKey(
        Member,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="who did what it tells, and needs no word of it",
    )

    at = models.DateTimeField(help_text="the moment it is about")
    ends_at = models.DateTimeField(null=True, blank=True, help_text="where it lasts")
    until = models.DateTimeField(
        null=True, blank=True, help_text="after which telling it helps nobody"
    )

    title = models.CharField(max_length=160)
    to_do = models.CharField(max_length=300, help_text="the first line: what to do")
    details = models.JSONField(default=list, blank=True, help_text="more lines")
    path = models.CharField(max_length=300, help_text="of the page where it is done")
    button = models.CharField(max_length=60)
    where = models.CharField(max_length=200, blank=True)

    sequence = models.PositiveIntegerField(default=0, help_text="of RFC 5545: goes up on change")
    made_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        indexes: ClassVar = [models.Index(fields=["coop", "about"], name="matter_by_cause")]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["coop", "key"],
                condition=Q(dropped_at__isnull=True),
                name="matter_key_stands_once",
            ),
            models.CheckConstraint(
                condition=Q(household__isnull=False, member__isnull=True, role="")
                | Q(household__isnull=True, member__isnull=False, role="")
                | (Q(household__isnull=True, member__isnull=True) & ~Q(role="")),
                name="matter_is_told_to_one_circle",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__isnull=True) | Q(ends_at__gte=F("at")),
                name="matter_ends_after_it_starts",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_off(self) -> bool:
        """Whether it went before the moment that it is about; what goes later is over, and was."""
        return self.dropped_at is not None and self.dropped_at < self.at
