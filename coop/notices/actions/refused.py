"""What a coordinator does about mail that was refused: takes note of it, or has it sent again."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from coop.notices.errors import NothingToSend
from coop.notices.models import Mail
from coop.notices.queries.refused import still_helps
from coop.notices.rights import FOR_COORDINATORS, can_see_told
from coop.people.models import Member
from coop.people.rights import require


def take_note(mail: Mail, *, by: Member) -> None:
    """Take note of a refusal, so that it no longer waits for anybody. Done twice it is done once.

    Raises NotAllowed.
    """
    require(can_see_told(by), FOR_COORDINATORS)
    Mail.objects.filter(coop=by.coop, pk=mail.pk, refused_at__isnull=False, seen_at=None).update(
        seen_at=timezone.now()
    )


def try_again(mail: Mail, *, by: Member) -> Mail:
    """Have a refused mail sent again at once, to the address that the member has now.

    Its days of trying begin anew. One that waits to be sent already, or was sent since, is left
    alone. Raises NotAllowed, NothingToSend.
    """
    require(can_see_told(by), FOR_COORDINATORS)
    now = timezone.now()
    with transaction.atomic():
        found = (
            Mail.objects.select_for_update(of=("self",))
            .select_related("member__user")
            .get(coop=by.coop, pk=mail.pk)
        )
        if found.refused_at is None:
            return found
        notices = found.notices.select_related("matter__coop")
        if found.member.left_at or not any(still_helps(each, now) for each in notices):
            raise NothingToSend
        found.address = found.member.user.email
        found.refused_at, found.seen_at = None, None
        found.attempts, found.try_at, found.trouble = 0, now, ""
        found.token, found.leased_until = None, None
        found.save(update_fields=CHANGED)
        return found


CHANGED = [
    "address",
    "refused_at",
    "seen_at",
    "attempts",
    "try_at",
    "trouble",
    "token",
    "leased_until",
]
