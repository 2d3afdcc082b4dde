"""Who had been told of a cause when something became of it."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Q

from coop.notices.models import Notice
from coop.people.models import Coop


def households_told(coop: Coop, about: str, by: datetime, *, what: str = "") -> set[int]:
    """The households of which somebody was told of a cause by a moment: on the site, or by mail.

    `what`: how the keys begin of what is asked about; all else is left out. Only what was said to
    whole households counts. What was told stays told, so that the answer
    for a moment that has passed stays as it is. One query.
    """
    said = Notice.objects.filter(
        matter__coop=coop, matter__about=about, matter__key__startswith=f"{about}/{what}"
    )
    told = said.filter(Q(on_site=True, due_at__lte=by) | Q(mail__sent_at__isnull=False))
    homes = told.filter(matter__household__isnull=False).order_by()
    return set(homes.values_list("matter__household", flat=True).distinct())
