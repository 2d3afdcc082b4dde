"""Letters: one mail to one member, as text and as HTML, with what to do in its first line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from email import charset
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.encoding import iri_to_uri

from coop.core.moments import local
from coop.notices.kinds import kind_of
from coop.notices.mailing.headers import headers_of, sender
from coop.notices.mailing.lines import lines_of, one_line
from coop.notices.mailing.stopping import choices_path, stop_address
from coop.notices.models import Mail, Matter, Notice
from coop.people.models import Coop

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
    to come; None for news.
    """

    to_do: str
    title: str
    lines: list[str]
    more: int
    link: str
    button: str
    day: date | None


def compose(mail: Mail, notices: Sequence[Notice]) -> EmailMultiAlternatives:
    """The letter that says these notices. They come with their matters; it reads nothing else.

    What is still to come stands first, the soonest at the top; then what has happened. A matter
    that is told for two leads at once is said once. Raises ValueError for no notices.
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
    return sorted(once, key=lambda matter: (not _is_to_come(matter, mail), matter.at, matter.pk))


def _is_to_come(matter: Matter, mail: Mail) -> bool:
    return matter.at > mail.made_at


def _context(mail: Mail, matters: Sequence[Matter]) -> dict[str, Any]:
    parts = [_part(matter, mail) for matter in matters]
    return {
        "coop": one_line(mail.coop.name),
        "subject": _subject(parts),
        "preview": _preview(parts),
        "parts": parts,
        "because": _because(mail.coop, matters),
        "kinds": _words(matters),
        "choices": f"{settings.SITE_ADDRESS}{choices_path(mail.coop)}",
        "stop": stop_address(mail.member, {matter.kind for matter in matters}),
    }


def _part(matter: Matter, mail: Mail) -> Part:
    lines, zone = lines_of(matter.details), ZoneInfo(mail.coop.time_zone)
    path = "".join(matter.path.split()).lstrip("/")
    return Part(
        to_do=one_line(matter.to_do),
        title=one_line(matter.title),
        lines=lines[:MOST_LINES],
        more=len(lines[MOST_LINES:]),
        link=f"{settings.SITE_ADDRESS}/{iri_to_uri(path)}",
        button=one_line(matter.button),
        day=local(matter.at, zone).date() if _is_to_come(matter, mail) else None,
    )


def _subject(parts: Sequence[Part]) -> str:
    others = len(parts) - 1
    return f"{parts[0].title}, and {others} more" if others else parts[0].title


def _preview(parts: Sequence[Part]) -> str:
    """What to do, of everything; of one matter, its details too."""
    said = [part.to_do for part in parts] if len(parts) > 1 else [parts[0].to_do, *parts[0].lines]
    return " ".join(said)[:PREVIEW_LETTERS]


def _because(coop: Coop, matters: Iterable[Matter]) -> str:
    """Why the reader gets it: by their roles, where all of it is told to roles."""
    roles = {matter.role for matter in matters}
    what = "member" if "" in roles else " and ".join(sorted(roles))
    return f"You get this as a {what} of {one_line(coop.name)}."


def _words(matters: Iterable[Matter]) -> list[str]:
    """The kinds by their words, once each; one that no app declares any more has none."""
    words: dict[str, None] = {}
    for matter in matters:
        try:
            words[kind_of(matter.kind).words] = None
        except KeyError:
            continue
    return list(words)
