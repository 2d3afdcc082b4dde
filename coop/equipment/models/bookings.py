"""Times for which a household has a thing, and places in line for one."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.equipment.kinds import Gauge
from coop.equipment.models.things import Thing
from coop.money.models import Entry
from coop.people.models import Coop, Household, Member


class Standby(models.Model):
    """A household's place in line: so many minutes of a thing, somewhere in a window.

    Without `thing`, any thing of the kind will do, or any with a `gauge` of that sort. It ends
    with a booking, or by being given up.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="standbys")
    kind = models.CharField(max_length=24)
    gauge = models.CharField(max_length=12, choices=Gauge, blank=True)
    thing = models.ForeignKey(
        Thing, on_delete=models.PROTECT, null=True, blank=True, related_name="standbys"
    )
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="standbys")
    minutes = models.PositiveIntegerField()
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    purpose = models.CharField(max_length=120, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(until_at__gt=F("from_at"), minutes__gt=0),
                name="standby_wants_some_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.household}, {self.minutes} minutes"


class Booking(models.Model):
    """One thing for one household from `starts_at` to `ends_at`; then nobody's until `free_at`.

    `ends_at` is the latest end where a thing ends by itself, and `expected_at` the likely one. With
    `held_until` it is an offer to a place in line, and not yet a booking. `together` is common to
    what was booked in one act. No two that are not cancelled overlap on a thing, turnaround
    included (a database rule).
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="bookings")
    thing = models.ForeignKey(Thing, on_delete=models.PROTECT, related_name="bookings")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="bookings")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    expected_at = models.DateTimeField(null=True, blank=True)
    turnaround_minutes = models.PositiveIntegerField(default=0)
    free_at = models.DateTimeField(help_text="the end and the turnaround after it")
    purpose = models.CharField(max_length=120, blank=True)
    about = models.CharField(max_length=60, blank=True, help_text='what it comes from: "buy:12"')
    together = models.UUIDField(null=True, blank=True, db_index=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    # An offer to the first in line.
    held_until = models.DateTimeField(null=True, blank=True)
    standby = models.ForeignKey(
        Standby, on_delete=models.PROTECT, null=True, blank=True, related_name="bookings"
    )
    # Moved later because the one before it ran longer.
    shifted_at = models.DateTimeField(null=True, blank=True)
    shifted_from = models.DateTimeField(null=True, blank=True, help_text="its start before that")
    shift_answered_at = models.DateTimeField(null=True, blank=True)
    # Over before its time, or never begun.
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cancel_why = models.CharField(max_length=200, blank=True)
    # What it moved in the books.
    fee_entry = models.ForeignKey(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    deposit_entry = models.ForeignKey(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    deposit_back_entry = models.ForeignKey(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["starts_at", "id"]
        indexes: ClassVar = [
            models.Index(fields=["thing", "starts_at"], name="booking_thing_starts"),
            models.Index(fields=["thing", "free_at"], name="booking_thing_free"),
            models.Index(fields=["coop", "free_at"], name="booking_coop_free"),
            models.Index(fields=["household", "free_at"], name="booking_household_free"),
        ]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at"), free_at__gte=F("ends_at")),
                name="booking_ends_after_its_start",
            ),
            models.CheckConstraint(
                condition=Q(expected_at__isnull=True)
                | Q(expected_at__gt=F("starts_at"), expected_at__lte=F("ends_at")),
                name="booking_expected_before_its_latest",
            ),
            models.CheckConstraint(
                condition=Q(held_until__isnull=True) | Q(standby__isnull=False),
                name="booking_held_for_somebody_in_line",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.thing} for {self.household}, {self.starts_at:%Y-%m-%d %H:%M}"
