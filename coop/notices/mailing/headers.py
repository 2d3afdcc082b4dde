"""What stands over a letter: who it is from, and the headers that mail programs read."""

from __future__ import annotations

from email.header import Header
from email.utils import format_datetime, parseaddr, quote
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from django.conf import settings

from coop.core.moments import local
from coop.notices.mailing.lines import one_line
from coop.notices.models import Mail
from coop.people.models import Coop

LONGEST_WORD = 75  # of what is encoded: RFC 2047, section 2


def sender(coop: Coop) -> str:
    """The site's address, under the co-op's name."""
    _, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    return f"{_phrase(coop.name)} <{address}>"


def headers_of(mail: Mail, stop: str) -> dict[str, str]:
    """The headers of a letter whose mail is stopped at the address `stop`.

    Message-ID and Date are the mail's own, the same at every try: by them mail programs, and
    people, know a letter that came twice. One-click stopping (RFC 8058) works where the address
    begins with https://; elsewhere mail programs show a link at most.
    """
    host = _host()
    return {
        "Message-ID": f"<{mail.uuid}@{host}>",
        "Date": format_datetime(local(mail.made_at, ZoneInfo(mail.coop.time_zone))),
        "Auto-Submitted": "auto-generated",  # RFC 3834: nobody's out-of-office note answers it
        "List-Id": _list_id(mail.coop, host),
        "List-Unsubscribe": f"<{stop}>",
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
    }


def _host() -> str:
    """The site's name; an address of IPv6 in brackets, as a Message-ID takes it (RFC 5322)."""
    host = urlsplit(settings.SITE_ADDRESS).hostname or "localhost"
    return f"[{host}]" if ":" in host else host


def _list_id(coop: Coop, host: str) -> str:
    """The co-op's letters as one list, for people who sort their mail by it (RFC 2919)."""
    label = f"{coop.slug}.{host.strip('[]').replace(':', '-')}"
    return f"{_phrase(coop.name)} <{label}>"


def _phrase(name: str) -> str:
    """A name to stand before an address, in ASCII and in one line, whatever it holds."""
    name = one_line(name)
    if name.isascii():
        return f'"{quote(name)}"'
    words = Header(name, "utf-8", maxlinelen=LONGEST_WORD).encode().split()
    return " ".join(words)
