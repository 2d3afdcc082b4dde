"""Letters: one mail to one member, as text and as HTML, with what to do in its first line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from email import charset
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.encoding import iri_to_uri

from coop.core.moments import local
from coop.notices.by_hand import is_by_hand, page_of
from coop.notices.kinds import kind_of
from coop.notices.mailing.headers import headers_of, sender
from coop.notices.mailing.lines import lines_of, one_line
from coop.notices.mailing.stopping import choices_path, stop_address
from coop.notices.models import Mail, Matter, Notice
from coop.people.models import Coop, Member

#: Every letter is plain ASCII in short lines on its way, whatever stands in it.
QUOTED = charset.Charset("utf-8")
QUOTED.body_encoding = charset.QP

#: Of one matter; past it the letter names the page. Some mail programs cut a long letter.
MOST_LINES = 100
#: What a list of mails shows of a letter beside its subject, at most.
PREVIEW_LETTERS = 140


@dataclass(frozen=True)
class Part:
    """What a letter says of one matter, every text in one line.

    `more`: how many lines were left out. `day`: its day by the co-op's clocks, where that is still
    to come; None for news. Of what a person wrote: `answer`, how to reach them, and `letter`, the
    address of its own page; else empty.
    """

    to_do: str
    title: str
    lines: list[str]
    more: int
    link: str
    button: str
    day: date | None
    answer: str = ""
    letter: str = ""

    @property
    def first_line(self) -> str:
        """What to do; of what a person wrote, how it begins."""
        return self.lines[0] if self.letter and self.lines else self.to_do


def compose(mail: Mail, notices: Sequence[Notice]) -> EmailMultiAlternatives:
    """The letter that says these notices. They come with their matters; it reads nothing else.

    What must be done soonest stands at the top, and names the letter; what has no end follows. A
    matter that is told for two leads at once is said once. Raises ValueError for no notices.
    """
    matters = _in_order(mail, [notice.matter for notice in notices])
    if not matters:
        raise ValueError(f"Mail {mail.pk} has nothing to say.")
    context = _context(mail, matters)
    letter = EmailMultiAlternatives(
        subject=context["subject"],
        body=render_to_string("notices/letters/letter.txt", context),
        from_email=sender(mail.coop),
        to=[mail.address],
        headers=headers_of(mail, context["stop"]),
    )
    letter.encoding = QUOTED
    letter.attach_alternative(render_to_string("notices/letters/letter.html", context), "text/html")
    return letter


def _in_order(mail: Mail, matters: Iterable[Matter]) -> list[Matter]:
    once = {matter.pk: matter for matter in matters}.values()
    return sorted(once, key=lambda matter: _urgency(matter, mail))


def _urgency(matter: Matter, mail: Mail) -> tuple[bool, datetime, int]:
    """By its moment or its limit, whichever comes next; what has neither to come, after these."""
    to_come = [each for each in (matter.at, matter.until) if each and each > mail.made_at]
    return not to_come, min(to_come, default=matter.at), matter.pk


def _is_to_come(matter: Matter, mail: Mail) -> bool:
    return matter.at > mail.made_at


def _context(mail: Mail, matters: Sequence[Matter]) -> dict[str, Any]:
    parts = [_part(matter, mail) for matter in matters]
    stops = _stops(mail.member, matters)
    return {
        "coop": one_line(mail.coop.name),
        "subject": _subject(parts),
        "preview": _preview(parts),
        "parts": parts,
        "because": _because(mail.coop, matters),
        "kinds": [words for words, _ in stops],
        "stops": stops if len(stops) > 1 else [],
        "choices": f"{settings.SITE_ADDRESS}{choices_path(mail.coop)}",
        "stop": stop_address(mail.member, {matter.kind for matter in matters}),
    }


def _part(matter: Matter, mail: Mail) -> Part:
    lines, zone = lines_of(matter.details), ZoneInfo(mail.coop.time_zone)
    written = is_by_hand(matter)
    answer = lines.pop() if written and lines else ""
    return Part(
        to_do=one_line(matter.to_do),
        title=one_line(matter.title),
        lines=lines[:MOST_LINES],
        more=len(lines[MOST_LINES:]),
        link=_link(matter.path),
        button=one_line(matter.button),
        day=local(matter.at, zone).date() if _is_to_come(matter, mail) else None,
        answer=answer,
        letter=_link(page_of(matter, mail.coop)) if written else "",
    )


def _link(path: str) -> str:
    return f"{settings.SITE_ADDRESS}/{iri_to_uri(''.join(path.split()).lstrip('/'))}"


def _subject(parts: Sequence[Part]) -> str:
    others = len(parts) - 1
    return f"{parts[0].title}, and {others} more" if others else parts[0].title


def _preview(parts: Sequence[Part]) -> str:
    """What to do and the details; of several matters, what the subject does not name."""
    first, *others = parts
    if others:
        said = ["Also:", *(part.first_line for part in others)]
    else:
        said = first.lines if first.letter else [first.to_do, *first.lines]
    return " ".join(said)[:PREVIEW_LETTERS]


def _because(coop: Coop, matters: Iterable[Matter]) -> str:
    """Why the reader gets it: by their roles, where all of it is told to roles."""
    roles = {matter.role for matter in matters}
    what = "member" if "" in roles else " and ".join(sorted(roles))
    return f"You get this as a {what} of {one_line(coop.name)}."


def _stops(member: Member, matters: Iterable[Matter]) -> list[tuple[str, str]]:
    """The kinds by their words, once each, and the address that stops it alone.

    One that no app declares any more has none.
    """
    stops: dict[str, str] = {}
    for code in dict.fromkeys(matter.kind for matter in matters):
        try:
            stops[kind_of(code).words] = stop_address(member, [code])
        except KeyError:
            continue
    return list(stops.items())
