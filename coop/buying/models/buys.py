"""A buy, its lines, and what each farm supplies to them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.buying.models.farms import Farm, Measure, Offer
from coop.money.models import Account
from coop.people.models import Coop, Household, Member


class Buy(models.Model):
    """One bulk purchase, from the first ask to the last cent, with the rules that it states."""

    class Stage(models.TextChoices):
        ASKING = "asking", "asking"
        CALLED_IN = "called_in", "called in"
        COLLECTED = "collected", "collected"
        DIVIDED = "divided", "divided"
        SQUARED = "squared", "squared"
        CALLED_OFF = "called_off", "called off"

    class Cover(models.TextChoices):
        COVERED = "covered", "called in once it is covered by balances and prepayments"
        FRONTED = "fronted", "a household fronts the money"

    class Basis(models.TextChoices):
        BY_SHARE = "by_share", "by what each got"
        EQUALLY = "equally", "equally"
        BY_TRIP = "by_trip", "by the trip each needed"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="buys")
    account = models.OneToOneField(Account, on_delete=models.PROTECT, related_name="buy")
    title = models.CharField(max_length=120)
    stage = models.CharField(max_length=12, choices=Stage, default=Stage.ASKING)
    coordinator = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="buys_led")
    asks_close_at = models.DateTimeField()
    pickup_place = models.CharField(max_length=200)
    pickup_from = models.DateTimeField()
    pickup_to = models.DateTimeField()
    note = models.CharField(max_length=600, blank=True)

    # The rules, stated before anyone asks and frozen by the first ask.
    shortage_rule = models.CharField(max_length=16, default="season", help_text="a core Rule")
    grace_minutes = models.PositiveIntegerField(default=30)
    late_change_cents = models.PositiveIntegerField(default=0)
    no_show_cents = models.PositiveIntegerField(default=0)
    fuel_basis = models.CharField(max_length=10, choices=Basis, default=Basis.BY_TRIP)
    other_basis = models.CharField(max_length=10, choices=Basis, default=Basis.EQUALLY)
    cover = models.CharField(max_length=10, choices=Cover, default=Cover.COVERED)
    fronted_by = models.ForeignKey(
        Household, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    front_limit_cents = models.PositiveIntegerField(null=True, blank=True)

    created_at = models.DateTimeField(default=timezone.now)
    called_off_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-asks_close_at", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(pickup_to__gt=F("pickup_from")),
                name="buy_pickup_ends_after_it_starts",
            ),
            models.CheckConstraint(
                condition=Q(pickup_from__gte=F("asks_close_at")),
                name="buy_pickup_after_the_close",
            ),
            models.CheckConstraint(
                condition=Q(cover="covered", fronted_by__isnull=True)
                | Q(
                    cover="fronted",
                    fronted_by__isnull=False,
                    front_limit_cents__isnull=False,
                ),
                name="buy_fronted_names_who_and_how_much",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class Line(models.Model):
    """One produce of a buy. All its amounts are in base steps of one measure."""

    buy = models.ForeignKey(Buy, on_delete=models.CASCADE, related_name="lines")
    produce = models.CharField(max_length=80)
    measure = models.CharField(max_length=8, choices=Measure)
    step = models.PositiveIntegerField(help_text="base steps that a share is divided in")
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering: ClassVar = ["buy_id", "position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["buy", "produce"], name="line_produce_once_in_a_buy"),
            models.CheckConstraint(condition=Q(step__gt=0), name="line_step_at_least_one"),
        ]

    def __str__(self) -> str:
        return self.produce


class Supply(models.Model):
    """What one farm can supply to a line: its offer's terms as they were when it was put in.

    `called_in` is how many containers were ordered; empty until the buy is called in.
    """

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="supplies")
    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="supplies")
    farm = models.ForeignKey(Farm, on_delete=models.PROTECT, related_name="supplies")
    container = models.CharField(max_length=40)
    size = models.PositiveIntegerField(help_text="base steps in one container, as promised")
    available = models.PositiveIntegerField(null=True, blank=True)
    at_least = models.PositiveIntegerField(default=0)
    trip_cents = models.PositiveIntegerField(default=0, help_text="what the trip to it costs")
    called_in = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["line_id", "id"]
        verbose_name_plural = "supplies"
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["line", "offer"], name="supply_once_an_offer"),
            models.CheckConstraint(
                condition=Q(size__gt=0), name="supply_container_holds_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.container} from {self.farm}"


class SupplyPrice(models.Model):
    """From this many containers on, all of a supply cost this much each."""

    supply = models.ForeignKey(Supply, on_delete=models.CASCADE, related_name="prices")
    from_count = models.PositiveIntegerField()
    cents_each = models.PositiveIntegerField()

    class Meta:
        ordering: ClassVar = ["supply_id", "from_count"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["supply", "from_count"], name="supply_price_once_a_count"
            ),
            models.CheckConstraint(condition=Q(from_count__gt=0), name="supply_price_from_one_up"),
        ]

    def __str__(self) -> str:
        return f"from {self.from_count}: {self.cents_each}"


class CallIn(models.Model):
    """The order as it was placed: by whom, when, with whom at the farm."""

    buy = models.OneToOneField(Buy, on_delete=models.PROTECT, related_name="call_in")
    by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    spoke_to = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=400, blank=True)

    def __str__(self) -> str:
        return f"{self.buy} called in"
