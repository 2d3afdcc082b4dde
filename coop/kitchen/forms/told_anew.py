"""What is said anew of a lot: the jars that went in, and where the produce came from."""

from __future__ import annotations

from typing import Any

from django import forms

from coop.buying.models import Farm, Share
from coop.core.figures import quantity
from coop.kitchen.actions.lots import MOST_JARS
from coop.kitchen.models import Lot
from coop.kitchen.queries.labels import written_out
from coop.kitchen.queries.origins import shares_for
from coop.kitchen.queries.plans import farms_to_choose


class JarsInForm(forms.Form):
    """How many jars went in."""

    count = forms.IntegerField(min_value=1, max_value=MOST_JARS, label="Jars that went in")
    ran_so = forms.BooleanField(required=False, label="So many went in")

    @property
    def needs_yes(self) -> bool:
        """Whether it is more than a canner takes, so that the box to tick is shown."""
        return bool(self.errors.get("ran_so") or self["ran_so"].value())


class OriginForm(forms.Form):
    """A share of the household, or a farm."""

    def __init__(self, *args: Any, lot: Lot, **options: Any) -> None:
        if lot.share_id or lot.farm_id:
            now = f"share {lot.share_id}" if lot.share_id else f"farm {lot.farm_id}"
            options.setdefault("initial", {"origin": now})
        super().__init__(*args, **options)
        self.shares = {f"share {share.pk}": share for share in shares_for(lot)}
        farms = farms_to_choose(lot.coop, lot.farm_id)
        self.farms = {f"farm {farm.pk}": farm for farm in farms}
        groups = [
            (f"Shares of {lot.household}", [(k, _said(each)) for k, each in self.shares.items()]),
            ("A farm, by no share", [(key, farm.name) for key, farm in self.farms.items()]),
        ]
        self.fields["origin"] = forms.ChoiceField(
            choices=[("", "Choose"), *(group for group in groups if group[1])],
            label="Where the produce came from",
            error_messages={"required": "Say which share or which farm it was."},
        )

    @property
    def share(self) -> Share | None:
        """The share that was chosen."""
        return self.shares.get(self.cleaned_data["origin"])

    @property
    def farm(self) -> Farm | None:
        """The farm that was chosen."""
        return self.farms.get(self.cleaned_data["origin"])


def _said(share: Share) -> str:
    line = share.division.line
    day = written_out(line.buy.pickup_from.date())
    return f"{line.buy.title}, {day}: {quantity(share.amount, line.measure)} of {line.produce}"
