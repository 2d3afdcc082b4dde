"""Tables of money: accounts, entries and their movements, squaring up, nightly checks.

Value flows from the account that gives to the account that receives. A balance is what an account
has given less what it has received: above zero others owe it, below zero it owes. So a household
that gets corn owes, one that pays is owed, and all balances of a co-op add up to zero.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from coop.people.models import Coop, Household, Member


class Account(models.Model):
    """Somebody or something that gives and receives: a household, the till, a farm, a buy."""

    class Kind(models.TextChoices):
        HOUSEHOLD = "household", "household"
        TILL = "till", "the till"
        FARM = "farm", "farm"
        BUY = "buy", "buy"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="accounts")
    kind = models.CharField(max_length=12, choices=Kind)
    name = models.CharField(max_length=160)
    household = models.OneToOneField(
        Household,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="account",
    )

    class Meta:
        ordering: ClassVar = ["kind", "name", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(kind="household", household__isnull=False)
                | (~Q(kind="household") & Q(household__isnull=True)),
                name="account_of_a_household_names_it",
            ),
            models.UniqueConstraint(
                fields=["coop"],
                condition=Q(kind="till"),
                name="account_one_till_a_coop",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def in_words(self) -> str:
        """Its name inside a sentence: the till has no capital there."""
        return "the till" if self.kind == self.Kind.TILL else self.name


class Entry(models.Model):
    """One event in the books. Never changed or deleted (triggers); put right by its reversal."""

    class Kind(models.TextChoices):
        PRODUCE = "produce", "produce"
        COST = "cost", "shared cost"
        FEE = "fee", "fee"
        DEPOSIT = "deposit", "deposit held"
        DEPOSIT_BACK = "deposit_back", "deposit given back"
        CREDIT = "credit", "farm's credit"
        CLAIM = "claim", "from the spare table"
        CARRIED = "carried", "carried by the till"
        FARM_PAID = "farm_paid", "farm paid"
        PAID_IN = "paid_in", "paid in"
        PAID_OUT = "paid_out", "paid out"
        SQUARED = "squared", "squaring up"
        REVERSAL = "reversal", "reversal"

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=12, choices=Kind)
    title = models.CharField(max_length=200)
    note = models.CharField(max_length=400, blank=True)
    reference = models.CharField(
        max_length=120,
        blank=True,
        help_text="address inside the co-op of what it is about",
    )
    made_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    reverses = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="reversed_by",
    )
    once = models.UUIDField(
        null=True,
        blank=True,
        editable=False,
        help_text="of the form that it came from: a form sent twice is one entry",
    )

    class Meta:
        ordering: ClassVar = ["-made_at", "-id"]
        verbose_name_plural = "entries"
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["coop", "once"],
                condition=Q(once__isnull=False),
                name="entry_once_a_form",
            ),
            models.CheckConstraint(
                condition=Q(kind="reversal", reverses__isnull=False)
                | (~Q(kind="reversal") & Q(reverses__isnull=True)),
                name="entry_reversal_names_what_it_reverses",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class Movement(models.Model):
    """An amount above zero from one account to another. Never changed or deleted (triggers)."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="movements")
    source = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="given")
    target = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="received")
    cents = models.BigIntegerField(help_text="in the minor unit of the co-op's currency")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["entry_id", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(cents__gt=0), name="movement_above_zero"),
            models.CheckConstraint(
                condition=~Q(source=F("target")), name="movement_between_two_accounts"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.source} to {self.target}: {self.cents}"


class SquareUp(models.Model):
    """One round of squaring up: the fewest payments that bring every balance to zero."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="square_ups")
    made_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    proven_fewest = models.BooleanField()
    finished_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-made_at", "-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["coop"],
                condition=Q(finished_at__isnull=True, withdrawn_at__isnull=True),
                name="square_up_one_open_a_coop",
            ),
        ]

    def __str__(self) -> str:
        return f"Squaring up of {self.made_at:%Y-%m-%d}"


class Payment(models.Model):
    """One payment of a round: proposed, marked paid by who pays, confirmed by who gets it."""

    square_up = models.ForeignKey(SquareUp, on_delete=models.PROTECT, related_name="payments")
    payer = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="payments_to_make")
    payee = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="payments_to_get")
    cents = models.BigIntegerField()
    paid_at = models.DateTimeField(null=True, blank=True)
    paid_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)
    confirmed_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="payment"
    )

    class Meta:
        ordering: ClassVar = ["square_up_id", "id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(cents__gt=0), name="payment_above_zero"),
            models.CheckConstraint(
                condition=~Q(payer=F("payee")), name="payment_between_two_accounts"
            ),
            models.CheckConstraint(
                condition=Q(confirmed_at__isnull=True, entry__isnull=True)
                | Q(confirmed_at__isnull=False, entry__isnull=False),
                name="payment_confirmed_has_its_entry",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.payer} pays {self.payee}: {self.cents}"


class BooksCheck(models.Model):
    """What the nightly check of a co-op's books found."""

    coop = models.ForeignKey(Coop, on_delete=models.CASCADE, related_name="books_checks")
    checked_at = models.DateTimeField(default=timezone.now)
    sound = models.BooleanField()
    finding = models.CharField(max_length=400)

    class Meta:
        ordering: ClassVar = ["-checked_at", "-id"]

    def __str__(self) -> str:
        return self.finding
