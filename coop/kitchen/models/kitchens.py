"""Where food is cooked: its altitude decides minutes and pressure."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower

from coop.people.models import Coop


class Kitchen(models.Model):
    """A kitchen that the co-op cooks in, apart from the households' own."""

    coop = models.ForeignKey(Coop, on_delete=models.PROTECT, related_name="kitchens")
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
            models.UniqueConstraint("coop", Lower("name"), name="kitchen_name_once_in_a_coop"),
        ]

    def __str__(self) -> str:
        return self.name
