"""What there is to tell of one warning: not to eat, until somebody of the household has read it."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.urls import reverse

from coop.kitchen.models import JarWarning, WarningTo
from coop.kitchen.notices import kinds
from coop.kitchen.notices.seals import sources_said
from coop.kitchen.queries.warnings import WHAT_TO_DO, told_of, what_to_do
from coop.notices.actions.keeping import Kept, keep
from coop.notices.queries.causes import causes_told
from coop.notices.says import Say
from coop.people.models import Coop

CAUSE = "warning"


def live(coop: Coop) -> Iterable[int]:
    """Warnings that some household has not read, and those of which something stands to be told."""
    unread = WarningTo.objects.filter(warning__coop=coop, read_at=None)
    return set(unread.values_list("warning", flat=True)) | causes_told(coop, CAUSE)


def renew(warning_id: int) -> Kept:
    """Keep what there is to tell of a warning, locked."""
    with transaction.atomic():
        warnings = JarWarning.objects.select_for_update(of=("self",), no_key=True)
        warning = warnings.select_related("coop").get(pk=warning_id)
        return keep(warning.coop, f"{CAUSE}:{warning.pk}", says_of(warning))


def says_of(warning: JarWarning) -> list[Say]:
    """One for each household that has not read it. One query."""
    return [_say(warning, told) for told in told_of(warning) if told.read_at is None]


def _say(warning: JarWarning, told: WarningTo) -> Say:
    return Say(
        f"to:{told.household_id}",
        kinds.WARNING.code,
        told.household,
        warning.at,
        f"Do not eat: {told.jars}",
        "Do not eat from these jars. Read the warning, and say that you have read it.",
        button="Read the warning",
        path=reverse("kitchen:warning", args=[warning.coop.slug, warning.pk]),
        details=(
            warning.sentence,
            *(each.gist for each in what_to_do()),
            sources_said(WHAT_TO_DO),
        ),
    )
