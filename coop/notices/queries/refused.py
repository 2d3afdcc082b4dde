"""Mail that was refused, and mail that is being tried again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Min, Prefetch, Q, QuerySet
from django.http import Http404

from coop.notices import trouble
from coop.notices.mailing.claiming import UNENDED, is_too_late
from coop.notices.models import Mail, Notice
from coop.notices.queries.words import words_of
from coop.people.models import Coop, Member


@dataclass(frozen=True)
class Refusal:
    """One mail that was refused for good, as a coordinator reads it.

    `what` are the kinds that it told; not what it said, which may be the person's own business.
    `may_try`: something of it still stands, and the person is still a member.
    """

    mail: Mail
    means: str
    said: str
    host: str
    what: list[str]
    may_try: bool
    has_new_address: bool


@dataclass(frozen=True)
class Trouble:
    """Letters that met the same trouble and are tried again."""

    said: str
    letters: int
    since: datetime
    next_at: datetime

    def with_(self, other: Trouble) -> Trouble:
        """Both as one, where they met the same."""
        return Trouble(
            self.said,
            self.letters + other.letters,
            min(self.since, other.since),
            min(self.next_at, other.next_at),
        )


def refused_in(coop: Coop) -> QuerySet[Mail]:
    """Mail that was refused and that nobody has taken note of yet; the latest first."""
    return Mail.objects.filter(coop=coop, refused_at__isnull=False, seen_at=None).order_by(
        "-refused_at", "-pk"
    )


def noted_in(coop: Coop) -> QuerySet[Mail]:
    """Refused mail that a coordinator has taken note of; the latest first."""
    return Mail.objects.filter(coop=coop, refused_at__isnull=False, seen_at__isnull=False).order_by(
        "-seen_at", "-pk"
    )


def refusals_of(mails: QuerySet[Mail], now: datetime) -> list[Refusal]:
    """Refused mails as a page shows them. Two queries."""
    notices = Notice.objects.select_related("matter__coop")
    found = mails.select_related("member__household", "member__user").prefetch_related(
        Prefetch("notices", notices)
    )
    return [_refusal(mail, now) for mail in found]


def _refusal(mail: Mail, now: datetime) -> Refusal:
    notices = list(mail.notices.all())
    return Refusal(
        mail,
        means=trouble.in_plain_words(mail.trouble),
        said=trouble.without_address(mail.trouble, mail.address),
        host=trouble.host_of(mail.address),
        what=list(dict.fromkeys(words_of(notice.matter.kind) for notice in notices)),
        may_try=mail.member.left_at is None and any(still_helps(each, now) for each in notices),
        has_new_address=mail.member.user.email.lower() != mail.address.lower(),
    )


def still_helps(notice: Notice, now: datetime) -> bool:
    """Whether it still stands, and is not too late. The notice comes with matter and co-op."""
    return notice.matter.dropped_at is None and not is_too_late(notice, now)


def mail_for(member: Member, mail_id: int) -> Mail:
    """A mail of the member's co-op. Absent and another co-op's are the same 404."""
    mail = (
        Mail.objects.filter(coop=member.coop_id, pk=mail_id)
        .select_related("member__user", "member__household")
        .first()
    )
    if mail is None:
        raise Http404
    return mail


def is_under_way(coop: Coop) -> bool:
    """Whether a letter waits for the mail server's answer, so that nobody knows how it ends."""
    return Mail.objects.filter(UNENDED, coop=coop).exists()


def troubles_in(coop: Coop) -> list[Trouble]:
    """What keeps mail waiting now: that was tried, and not taken yet. One query."""
    tried = Q(attempts__gt=0) | ~Q(trouble="")
    waiting = Mail.objects.filter(UNENDED, tried, coop=coop)
    # An answer that names an address is the answer to that address alone.
    groups = (
        waiting.order_by()
        .values("trouble")
        .annotate(
            address=Min("address"), letters=Count("pk"), since=Min("made_at"), next_at=Min("try_at")
        )
    )
    found: dict[str, Trouble] = {}
    for group in groups:
        said = trouble.without_address(group["trouble"], group["address"])
        one = Trouble(said, group["letters"], group["since"], group["next_at"])
        found[said] = one.with_(found[said]) if said in found else one
    return sorted(found.values(), key=lambda each: (-each.letters, each.since))
