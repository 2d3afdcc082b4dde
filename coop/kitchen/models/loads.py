"""One canner full, as it was really run."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from coop.equipment.models import Thing
from coop.kitchen.models.kitchens import Kitchen
from coop.people.models import Coop, Member


class Load(models.Model):
    """A load: which canner, how many minutes at what pressure, who watched, and what went wrong.

    `run` numbers the loads of one day. The canner stands as it was called that day, with the day
    on which its gauge had last been tested; `thing` is the shared one that it was, if it was one.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="loads")
    kitchen = models.ForeignKey(
        Kitchen, on_delete=models.PROTECT, null=True, blank=True, related_name="loads"
    )
    day = models.DateField()
    run = models.PositiveIntegerField()
    canner = models.CharField(max_length=80)
    thing = models.ForeignKey(
        Thing, on_delete=models.PROTECT, null=True, blank=True, related_name="loads"
    )
    method = models.CharField(max_length=16)
    gauge_tested_on = models.DateField(null=True, blank=True)
    altitude_ft = models.IntegerField()
    minutes = models.PositiveIntegerField()
    psi = models.PositiveSmallIntegerField(null=True, blank=True)
    vent_minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    restarts = models.PositiveSmallIntegerField(default=0, help_text="pressure fell, time again")
    ended_at = models.DateTimeField(help_text="the end of the process: the heat went off")
    watcher = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    watcher_name = models.CharField(max_length=80, blank=True, help_text="who is not a member")
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    suspect_at = models.DateTimeField(null=True, blank=True)
    suspect_why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering: ClassVar = ["-day", "-run", "-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["coop", "day", "run"], name="load_run_once_a_day"),
            models.CheckConstraint(condition=Q(minutes__gt=0), name="load_ran_some_minutes"),
            models.CheckConstraint(
                condition=Q(method="boiling_water", psi__isnull=True)
                | ~Q(method="boiling_water") & Q(psi__gt=0),
                name="load_pressure_as_its_method",
            ),
            models.CheckConstraint(
                condition=Q(watcher__isnull=False) | ~Q(watcher_name=""),
                name="load_was_watched",
            ),
            models.CheckConstraint(
                condition=Q(suspect_at__isnull=True) | ~Q(suspect_why=""),
                name="load_suspect_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.canner}, load {self.run} of {self.day.day} {self.day:%b %Y}"
