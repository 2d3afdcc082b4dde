"""Letters: one mail to one member, as text and as HTML, with what to do in its first line."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from email import charset
from email.header import Header
from email.utils import format_datetime, formataddr, parseaddr
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.encoding import iri_to_uri

from coop.core.moments import local
from coop.notices.kinds import kind_of
from coop.notices.mailing.stopping import stop_address
from coop.notices.models import Mail, Matter, Notice
from coop.people.models import Coop

#: Every letter is plain ASCII in short lines on its way, whatever stands in it.
QUOTED = charset.Charset("utf-8")
QUOTED.body_encoding = charset.QP

#: Of one matter; past it the letter names the page. Some mail programs cut a long letter.
MOST_LINES = 100


@dataclass(frozen=True)
class Part:
    """What a letter says of one matter, every text in one line."""

    to_do: str
    title: str
    lines: list[str]
    more: int
    link: str
    button: str
    weekday: str
    day: str
    month: str


def compose(mail: Mail, notices: Sequence[Notice]) -> EmailMultiAlternatives:
    """The letter that says these notices. They come with their matters; it reads nothing else.

    What is still to come stands first, the soonest at the top; then what has happened. A matter
    that is told for two leads at once is said once. Raises ValueError for no notices.
    """
    matters = _in_order(mail, [notice.matter for notice in notices])
    if not matters:
        raise ValueError(f"Mail {mail.pk} has nothing to say.")
    zone = ZoneInfo(mail.coop.time_zone)
    parts = [_part(matter, zone) for matter in matters]
    stop = stop_address(mail.member, {matter.kind for matter in matters})
    subject = _subject(parts)
    context = {
        "coop": one_line(mail.coop.name),
        "subject": subject,
        "parts": parts,
        "because": _because(mail.coop, matters),
        "kinds": _words(matters),
        "choices": f"{settings.SITE_ADDRESS}/{mail.coop.slug}/notices/choices/",
        "stop": stop,
    }
    letter = EmailMultiAlternatives(
        subject=subject,
        body=render_to_string("notices/letters/letter.txt", context),
        from_email=_sender(mail.coop),
        to=[mail.address],
        headers=_headers(mail, stop, zone),
    )
    letter.encoding = QUOTED
    letter.attach_alternative(render_to_string("notices/letters/letter.html", context), "text/html")
    return letter


def one_line(text: str) -> str:
    r"""A text without breaks, control characters, and marks that turn its direction around.

    >>> one_line("Sweet corn\r\nBcc: all@example.test")
    'Sweet corn Bcc: all@example.test'
    """
    kept = (" " if _is_unseen(letter) else letter for letter in text)
    return " ".join("".join(kept).split())


def _is_unseen(letter: str) -> bool:
    if letter < "\x7f":
        return letter < " "
    return unicodedata.category(letter) in {"Cc", "Cs"} or unicodedata.bidirectional(letter) in {
        "LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI",
    }  # fmt: skip


def _in_order(mail: Mail, matters: Iterable[Matter]) -> list[Matter]:
    once = {matter.pk: matter for matter in matters}.values()
    return sorted(once, key=lambda matter: (matter.at < mail.made_at, matter.at, matter.pk))


def _part(matter: Matter, zone: ZoneInfo) -> Part:
    lines = [one_line(line) for detail in matter.details for line in str(detail).splitlines()]
    lines = [line for line in lines if line]
    day = local(matter.at, zone)
    return Part(
        to_do=one_line(matter.to_do),
        title=one_line(matter.title),
        lines=lines[:MOST_LINES],
        more=len(lines[MOST_LINES:]),
        link=iri_to_uri(f"{settings.SITE_ADDRESS}/{one_line(matter.path).lstrip('/')}") or "",
        button=one_line(matter.button),
        weekday=f"{day:%a}",
        day=f"{day.day}",
        month=f"{day:%b}",
    )


def _subject(parts: Sequence[Part]) -> str:
    others = len(parts) - 1
    return f"{parts[0].title}, and {others} more" if others else parts[0].title


def _because(coop: Coop, matters: Iterable[Matter]) -> str:
    """Why the reader gets it: by their role, where everything in it is told to a role."""
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


def _sender(coop: Coop) -> str:
    """The site's address under the co-op's name."""
    _, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    return formataddr((one_line(coop.name), address))


def _headers(mail: Mail, stop: str, zone: ZoneInfo) -> dict[str, str]:
    host = _host()
    return {
        # The same at every try, so that a letter that came twice is known to be one.
        "Message-ID": f"<{mail.uuid}@{host}>",
        "Date": format_datetime(local(mail.made_at, zone)),
        "Auto-Submitted": "auto-generated",  # RFC 3834: nobody's out-of-office answers it
        "List-Id": _list_id(mail.coop, host),  # RFC 2919
        "List-Unsubscribe": f"<{stop}>",  # RFC 8058, with the next
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
    }


def _host() -> str:
    """The site's name; an address of IPv6 in brackets, as a Message-ID takes it (RFC 5322)."""
    host = urlsplit(settings.SITE_ADDRESS).hostname or "localhost"
    return f"[{host}]" if ":" in host else host


def _list_id(coop: Coop, host: str) -> str:
    name = Header(one_line(coop.name), "utf-8").encode() if not coop.name.isascii() else ""
    if name:  # in words of 75 characters at most (RFC 2047), all in one line
        return f"{' '.join(name.split())} <{coop.slug}.{host.strip('[]').replace(':', '-')}>"
    return formataddr((one_line(coop.name), f"{coop.slug}.{host.strip('[]').replace(':', '-')}"))
