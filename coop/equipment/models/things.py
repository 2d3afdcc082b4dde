"""Things that households share, when each may be out, and what belongs to it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils import timezone

from coop.equipment.kinds import Gauge, ThingKind
from coop.people.models import Coop, Household, Member


class Thing(models.Model):
    """One shared thing, of the co-op or of a household. What does not matter for its kind is empty.

    Without `hours` it may be out at any time.
    """

    class FeePer(models.TextChoices):
        USE = "use", "a use"
        HOUR = "hour", "an hour"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="things")
    kind = models.CharField(max_length=24, choices=ThingKind)
    name = models.CharField(max_length=80)
    owner = models.ForeignKey(
        Household,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="things",
        help_text="whose it is; empty: the co-op's",
    )
    home = models.CharField(max_length=160, blank=True, help_text="where it is when nobody has it")
    gauge = models.CharField(max_length=12, choices=Gauge, blank=True)
    canner_class = models.CharField(
        max_length=40, blank=True, help_text="class in the table of canners: jars to a load"
    )
    trays = models.PositiveSmallIntegerField(null=True, blank=True)
    watts = models.PositiveIntegerField(null=True, blank=True, help_text="at its peak")
    amps_tenths = models.PositiveIntegerField(null=True, blank=True)
    weight_tenths = models.PositiveIntegerField(null=True, blank=True, help_text="of a pound")
    btu = models.PositiveIntegerField(
        null=True, blank=True, help_text="an hour: a burner's heat, or the most that a canner bears"
    )
    not_on = models.JSONField(default=list, blank=True, help_text="stoves it must not stand on")
    turnaround_minutes = models.PositiveIntegerField(default=0)
    longest_minutes = models.PositiveIntegerField(null=True, blank=True, help_text="of one loan")
    deposit_cents = models.PositiveIntegerField(default=0)
    fee_cents = models.PositiveIntegerField(default=0)
    fee_per = models.CharField(max_length=4, choices=FeePer, default=FeePer.USE)
    use_note = models.TextField(max_length=2000, blank=True)
    cleaning_note = models.TextField(max_length=2000, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                "coop",
                Lower("name"),
                condition=Q(retired_at__isnull=True),
                name="thing_name_once_in_a_coop",
            ),
            models.CheckConstraint(
                condition=Q(longest_minutes__isnull=True) | Q(longest_minutes__gt=0),
                name="thing_longest_loan_above_zero",
            ),
            models.CheckConstraint(
                condition=Q(gauge="") | Q(kind="pressure_canner"),
                name="thing_gauge_of_a_pressure_canner",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class OpenHours(models.Model):
    """A span of a weekday, by the co-op's clocks, in which a thing may be out.

    Monday is 0; minutes count from midnight, 1440 is the midnight that ends the day.
    """

    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField()
    from_minute = models.PositiveSmallIntegerField()
    to_minute = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["thing_id", "weekday", "from_minute"]
        verbose_name_plural = "open hours"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(weekday__lte=6, to_minute__lte=1440, from_minute__lt=F("to_minute")),
                name="hours_within_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing}, weekday {self.weekday}: {self.from_minute} to {self.to_minute}"


class Part(models.Model):
    """What goes out with a thing and must come back: how many of each."""

    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="parts")
    name = models.CharField(max_length=40)
    count = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering: ClassVar = ["thing_id", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint("thing", Lower("name"), name="part_name_once_a_thing"),
            models.CheckConstraint(condition=Q(count__gt=0), name="part_count_above_zero"),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.name}"


class Photo(models.Model):
    """A picture of a thing, or of how it came back; made smaller, and free of what a phone adds.

    It lies in the database: a second machine needs no folder in common, and one backup has all.
    """

    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="photos")
    handover = models.ForeignKey(
        "equipment.Handover",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="photos",
    )
    jpeg = models.BinaryField()
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.thing}, {self.at:%Y-%m-%d}"
