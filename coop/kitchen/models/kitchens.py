"""Where food is cooked: its altitude decides minutes and pressure."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from coop.people.models import Coop, Household


class Kitchen(models.Model):
    """A kitchen that food is cooked in: the co-op's, or with a household that household's own."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="kitchens")
    household = models.ForeignKey(
        Household,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="kitchens",
        help_text="whose own it is; empty: the co-op's",
    )
    name = models.CharField(max_length=80)
    address = models.CharField(max_length=200, blank=True)
    altitude_ft = models.IntegerField(
        validators=[MinValueValidator(-1400), MaxValueValidator(15000)]
    )
    note = models.CharField(max_length=400, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                "coop",
                Lower("name"),
                condition=Q(household__isnull=True),
                name="kitchen_name_once_in_a_coop",
            ),
            models.UniqueConstraint(
                "household", Lower("name"), name="kitchen_name_once_in_a_household"
            ),
        ]

    def __str__(self) -> str:
        return self.name
