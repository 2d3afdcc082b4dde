"""Who may write to others, and who may see what was told."""

from __future__ import annotations

from coop.notices.models import Notice, Writing
from coop.people.models import Member

FOR_COORDINATORS = "Coordinators look after what mail does not reach. Ask one of them."
TO_OTHERS = "This letter was written to other households."


def can_see_told(member: Member) -> bool:
    """See what was told in the whole co-op, and look after the mail that does not arrive."""
    return member.coordinator


def can_read(member: Member, writing: Writing) -> bool:
    """Read a letter: whose household it was written to, who wrote it, and coordinators."""
    if member.coordinator or writing.by_id == member.pk:
        return True
    household = writing.coop.matters.filter(
        about=f"writing:{writing.pk}", household=member.household_id
    )
    return (
        household.exists()
        or Notice.objects.filter(member=member, matter__about=f"writing:{writing.pk}").exists()
    )
