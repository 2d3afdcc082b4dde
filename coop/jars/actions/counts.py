"""Counting jars: each counting is a row of its own, and nothing of an older one is changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from django.db import transaction

from coop.jars.errors import Refused, TooLate
from coop.jars.kinds import KINDS, Mouth
from coop.jars.models import Count, CountedJars, CountedLids
from coop.jars.pasted import MOST_JARS
from coop.jars.queries.counts import newest_count
from coop.jars.queries.stock import Held, HeldLids
from coop.jars.rights import require_act_for
from coop.people.models import Household, Member


@dataclass(frozen=True)
class Counted:
    """What was counted: jars by kind, lids and bands by mouth. What is not in it, there is none."""

    kinds: Mapping[str, Held] = field(default_factory=dict)
    lids: Mapping[str, HeldLids] = field(default_factory=dict)

    def some(self) -> Counted:
        """The same without kinds and mouths of which there is none."""
        return Counted(
            {kind: self.kinds[kind] for kind in KINDS if self.kinds.get(kind, Held()) != Held()},
            {
                mouth.value: self.lids[mouth]
                for mouth in Mouth
                if self.lids.get(mouth, HeldLids()) != HeldLids()
            },
        )


class CountedSince(Refused):
    """Somebody else counted after the page was opened."""


def save_count(
    household: Household, counted: Counted, *, by: Member, seen: int | None = None
) -> Count:
    """Keep a new count of a household's jars.

    `seen` is the id of the newest count when the page was opened, 0 for none, None where no page
    was. The same count sent again is one count: the newest is returned, and no row is made.

    Jars handed over while the page was open are still in what it started from: the count then says
    more than there is, until the next one. Loans do not wait for counts.

    Raises NotAllowed, Refused, CountedSince, TooLate.
    """
    with transaction.atomic():
        require_act_for(by, household)
        # Counts of one household take turns, so that a form sent twice finds the first.
        kept = Household.objects.select_for_update(no_key=True).get(pk=household.pk, coop=by.coop)
        if kept.left_at:
            raise TooLate(f"{kept.name} has left the co-op.")
        counted = counted.some()
        _check(counted)
        newest = newest_count(kept)
        if newest and seen is not None and newest.pk != seen:
            if newest.by_id == by.pk and counted_in(newest) == counted:
                return newest
            raise CountedSince(
                f"{newest.by.name} has counted since you opened this page. Look at the numbers "
                "that are kept now, and save yours again if they are right."
            )
        return _write(kept, counted, by=by)


def counted_in(count: Count) -> Counted:
    """What a count says."""
    return Counted(
        {row.kind: Held(row.full, row.empty, row.spare) for row in count.jars.all()},
        {row.mouth: HeldLids(row.lids, row.bands) for row in count.lids.all()},
    ).some()


def _check(counted: Counted) -> None:
    for kind, held in counted.kinds.items():
        if held.spare > held.empty:
            raise Refused(
                f"{held.spare} spare are more than the {held.empty} empty ones: spare jars are "
                "among the empty.",
                field=f"{kind}-spare",
            )
        _check_sizes(kind, {"full": held.full, "empty": held.empty, "spare": held.spare})
    for mouth, lids in counted.lids.items():
        _check_sizes(mouth, {"lids": lids.lids, "bands": lids.bands})


def _check_sizes(key: str, numbers: Mapping[str, int]) -> None:
    for state, number in numbers.items():
        if not 0 <= number <= MOST_JARS:
            raise Refused(f"Write 0 to {MOST_JARS:,}.", field=f"{key}-{state}")


def _write(household: Household, counted: Counted, *, by: Member) -> Count:
    count = Count.objects.create(household=household, by=by)
    CountedJars.objects.bulk_create(
        CountedJars(count=count, kind=kind, full=held.full, empty=held.empty, spare=held.spare)
        for kind, held in counted.kinds.items()
    )
    CountedLids.objects.bulk_create(
        CountedLids(count=count, mouth=mouth, lids=lids.lids, bands=lids.bands)
        for mouth, lids in counted.lids.items()
    )
    return count
