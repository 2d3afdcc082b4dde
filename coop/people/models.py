"""Tables of people: users, co-ops, households, members, invitations, and the log of changes."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils import timezone


class UserManager(BaseUserManager["User"]):
    """Makes users, their addresses in small letters."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> User:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)


class User(AbstractBaseUser, PermissionsMixin):
    """Somebody who can sign in. What they may do comes from their memberships alone."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    date_joined = models.DateTimeField(default=timezone.now)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    objects = UserManager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(Lower("email"), name="user_email_once_whatever_the_case"),
        ]

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return self.name


class Coop(models.Model):
    """One group of households. Everything else belongs to exactly one."""

    slug = models.SlugField(max_length=50, unique=True)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=64, default="America/Denver")
    currency = models.CharField(max_length=3, default="USD", help_text="ISO 4217 code")
    altitude_ft = models.IntegerField(
        default=0, validators=[MinValueValidator(-1400), MaxValueValidator(15000)]
    )
    division_step_tenths = models.PositiveIntegerField(
        default=5, validators=[MinValueValidator(1)], help_text="tenths of a pound"
    )
    trip_cents_per_mile = models.PositiveIntegerField(default=0)
    created_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(division_step_tenths__gte=1),
                name="coop_division_step_at_least_one",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Household(models.Model):
    """A family of a co-op. `left_at` is empty while it belongs."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="households")
    name = models.CharField(max_length=80)
    phone = models.CharField(max_length=40, blank=True)
    address = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=400, blank=True, help_text="allergies, access, and the like")
    joined_at = models.DateTimeField(default=timezone.now)
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint("coop", Lower("name"), name="household_name_once_in_a_coop"),
        ]

    def __str__(self) -> str:
        return self.name


class Home(models.Model):
    """Where a household lives, as its members gave it: degrees north and east."""

    household = models.OneToOneField(Household, on_delete=models.CASCADE, related_name="home")
    latitude = models.DecimalField(max_digits=7, decimal_places=5)
    longitude = models.DecimalField(max_digits=8, decimal_places=5)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(latitude__gte=-90, latitude__lte=90)
                & Q(longitude__gte=-180, longitude__lte=180),
                name="home_on_the_globe",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.latitude}, {self.longitude}"


class Member(models.Model):
    """A person in a household. A user has at most one membership of a co-op at a time."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="members")
    household = models.ForeignKey(Household, on_delete=models.PROTECT, related_name="members")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="memberships")
    name = models.CharField(max_length=120)
    coordinator = models.BooleanField(default=False)
    treasurer = models.BooleanField(default=False)
    steward = models.BooleanField(default=False)
    host = models.BooleanField(default=False)
    joined_at = models.DateTimeField(default=timezone.now)
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["user", "coop"],
                condition=Q(left_at__isnull=True),
                name="member_once_in_a_coop",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def roles(self) -> list[str]:
        return [role for role in ROLES if getattr(self, role)]


ROLES = ("coordinator", "treasurer", "steward", "host")


class Invitation(models.Model):
    """A signed link, sent to one address, that lets its holder join a household once."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="invitations")
    household = models.ForeignKey(
        Household,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="invitations",
    )
    household_name = models.CharField(max_length=80, blank=True, help_text="of a new household")
    email = models.EmailField()
    coordinator = models.BooleanField(default=False)
    treasurer = models.BooleanField(default=False)
    steward = models.BooleanField(default=False)
    host = models.BooleanField(default=False)
    invited_by = models.ForeignKey(Member, on_delete=models.PROTECT, related_name="+")
    invited_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-invited_at", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("invited_at")),
                name="invitation_expires_later",
            ),
            models.CheckConstraint(
                condition=Q(household__isnull=False) | ~Q(household_name=""),
                name="invitation_names_a_household",
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(withdrawn_at__isnull=True),
                name="invitation_accepted_or_withdrawn",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.email} to {self.household or self.household_name}"


class Change(models.Model):
    """Who changed what, when, from what to what. Rows are never changed or deleted (triggers).

    `about` names the thing, as "buy:12"; `sentence` is what a member reads.
    """

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="changes")
    member = models.ForeignKey(
        Member, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)
    about = models.CharField(max_length=60, db_index=True)
    sentence = models.CharField(max_length=400)
    before = models.JSONField(default=dict, blank=True)
    after = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering: ClassVar = ["-at", "-id"]

    def __str__(self) -> str:
        return self.sentence
