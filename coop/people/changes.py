"""The log of changes that another member could dispute."""

from __future__ import annotations

from typing import Any

from django.db.models import Model, QuerySet

from coop.people.models import Change, Coop, Member

LONGEST_SENTENCE = Change._meta.get_field("sentence").max_length or 0


def topic(thing: Model) -> str:
    """The name under which changes of `thing` are kept, as "buy:12"."""
    return f"{thing._meta.model_name}:{thing.pk}"


def record_change(
    thing: Model,
    sentence: str,
    *,
    coop: Coop,
    by: Member | None,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> Change:
    """Write one line of history, inside the transaction of its cause.

    `by` is None for the clock.
    """
    return Change.objects.create(
        coop=coop,
        member=by,
        about=topic(thing),
        sentence=sentence[:LONGEST_SENTENCE],
        before=before or {},
        after=after or {},
    )


def changes_of(coop: Coop, thing: Model) -> QuerySet[Change]:
    """History of one thing, newest first, with its members."""
    return Change.objects.filter(coop=coop, about=topic(thing)).select_related("member__household")
