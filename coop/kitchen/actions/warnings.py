"""Warn everyone who has certain jars; and a household says that it has read the warning."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from coop.buying.models import Supply
from coop.kitchen import rights
from coop.kitchen.actions.loads import suspect_load
from coop.kitchen.models import JarWarning, Load, Lot, WarningTo
from coop.kitchen.notices import loads, warnings
from coop.kitchen.queries.trace import lots_concerned
from coop.kitchen.queries.warnings import ToTell, to_tell
from coop.people.changes import record_change
from coop.people.errors import NotAllowed, Refused
from coop.people.locks import lock_people
from coop.people.models import Member

#: The same sentence about the same jars within so long is the same press of the button.
SAME_WITHIN = timedelta(minutes=1)


class NobodyToTell(Refused):
    """No household of the co-op has, had or was given any of the jars."""


def warn(
    about: Lot | Load | Supply, sentence: str, *, by: Member, is_suspect: bool = False
) -> JarWarning:
    """Warn every household that has, had or was given the jars, and is still in the co-op.

    With `is_suspect` the load is called suspect too; one that is suspect already keeps its reason.
    Sent twice within a minute it is one warning.
    Raises NotAllowed, and NobodyToTell.
    """
    rights.require_warn(by)
    with transaction.atomic():
        lock_people(by.coop_id)  # so that two presses of the button come one after the other
        noun = _noun(about)
        since = timezone.now() - SAME_WITHIN
        same = JarWarning.objects.filter(
            coop=by.coop, sentence=sentence, at__gt=since, **{noun: about}
        )
        if found := same.first():
            return found
        whom = [each for each in to_tell(by.coop, about) if not each.has_left]
        if not whom:
            raise NobodyToTell("No household of the co-op has jars of it: there is nobody to tell.")
        warning = JarWarning.objects.create(coop=by.coop, sentence=sentence, by=by, **{noun: about})
        told(warning, whom)
        if is_suspect and isinstance(about, Load) and not about.suspect_at:
            suspect_load(about.pk, sentence[:_LONGEST_WHY], by=by)
        said = f"Warned {len(whom)} of jars: {sentence}"
        record_change(about, said, coop=by.coop, by=by)
        warnings.renew(warning.pk)
        loads.renew_around(by.coop, [lot.pk for lot in lots_concerned(about)])
    return warning


_LONGEST_WHY = Load._meta.get_field("suspect_why").max_length or 0


def told(warning: JarWarning, whom: Iterable[ToTell]) -> list[WarningTo]:
    """Tell the households: each finds it on This week until somebody of it has read it."""
    return WarningTo.objects.bulk_create(
        WarningTo(warning=warning, household=each.household, jars=each.jars) for each in whom
    )


def read_warning(warning: JarWarning, *, by: Member) -> None:
    """Somebody of a household has read it, for all of the household. Twice does no harm.

    Raises NotAllowed where the household was not told.
    """
    mine = WarningTo.objects.filter(warning=warning, household=by.household_id)
    with transaction.atomic():
        read = mine.filter(read_at__isnull=True).update(read_at=timezone.now(), read_by=by)
        if not read and not mine.exists():
            raise NotAllowed("Your household has none of these jars, so it was not told.")
        warnings.renew(warning.pk)


def _noun(about: Lot | Load | Supply) -> str:
    return {Lot: "lot", Load: "load", Supply: "supply"}[type(about)]
