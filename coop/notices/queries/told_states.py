"""How one person was told: by mail, on the site, or why not. Pure reading of one notice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from coop.notices.by_hand import is_own
from coop.notices.kinds import Kind
from coop.notices.models import Mail, Notice
from coop.notices.trouble import in_plain_words


class Standing(StrEnum):
    """How it stands with one person; the first that is so of any of their notices counts."""

    TOLD = "told"
    WAITS = "waits"
    FAILED = "failed"
    ON_SITE = "on_site"
    TAKEN_BACK = "taken_back"
    NONE = "none"


#: In words after a number of people, and the tone of its chip.
WORDS = {
    Standing.TOLD: "told",
    Standing.WAITS: "to be told yet",
    Standing.FAILED: "could not be told",
    Standing.ON_SITE: "on the site only, not read yet",
    Standing.TAKEN_BACK: "not told, as it was no longer so",
    Standing.NONE: "wanted no notice",
}


ABOUT_TO, WAITS_UNTIL = "mail is about to go out", "mail waits until"
TOO_LATE = "mail would have come too late"
TAKEN_BACK = "no longer so before a mail went out"
NOT_REACHED = "mail did not reach this address"


@dataclass(frozen=True)
class Line:
    """One thing to say of a notice: words, and a moment after them or none."""

    words: str
    at: datetime | None = None
    is_wrong: bool = False


@dataclass(frozen=True)
class How:
    """How one notice stands, in lines: the mail, then the site.

    `stands`: its matter does. `is_refused`: its mail was refused.
    """

    standing: Standing
    lines: tuple[Line, ...]
    stands: bool
    is_refused: bool = False


def how(notice: Notice, kind: Kind | None, now: datetime) -> How:
    """How a notice stands. It comes with its matter and its mail."""
    if is_own(notice):
        return How(Standing.TOLD, (Line("wrote it"),), stands=notice.matter.dropped_at is None)
    mail_standing, mail_line = _mail(notice, now)
    site_standing, site_line = _site(notice, kind, now)
    order = list(Standing)
    both = sorted((mail_standing, site_standing), key=order.index)
    lines = tuple(line for line in (mail_line, site_line) if line)
    refused = bool(notice.mail and notice.mail.refused_at)
    return How(both[0], lines, stands=notice.matter.dropped_at is None, is_refused=refused)


def _mail(notice: Notice, now: datetime) -> tuple[Standing, Line]:
    mail = notice.mail
    if mail is None:
        return _no_mail(notice, now)
    if mail.sent_at or mail.refused_at or mail.dropped_at:
        return _ended(notice, mail)
    if notice.too_late_at:
        return Standing.FAILED, Line(TOO_LATE, is_wrong=True)
    if mail.attempts or mail.trouble:
        words = "mail not taken so far, tried again"
        return Standing.WAITS, Line(words, mail.try_at, is_wrong=True)
    if mail.try_at > now:  # it was late, and its reader sleeps
        return Standing.WAITS, Line(WAITS_UNTIL, mail.try_at)
    return Standing.WAITS, Line(ABOUT_TO)


def _ended(notice: Notice, mail: Mail) -> tuple[Standing, Line]:
    if notice.too_late_at:  # the letter went on without it
        return Standing.FAILED, Line(TOO_LATE, is_wrong=True)
    if mail.sent_at:
        return Standing.TOLD, Line("mail went out", mail.sent_at)
    if mail.refused_at:
        why = in_plain_words(mail.trouble).rstrip(".")
        words = f"mail was refused: {why[:1].lower()}{why[1:]};"
        return Standing.FAILED, Line(words, mail.refused_at, is_wrong=True)
    if notice.matter.dropped_at:
        return Standing.TAKEN_BACK, Line(TAKEN_BACK)
    return Standing.FAILED, Line("no mail could go out", is_wrong=True)


def _no_mail(notice: Notice, now: datetime) -> tuple[Standing, Line]:
    if notice.too_late_at:
        return Standing.FAILED, Line(TOO_LATE, is_wrong=True)
    if notice.matter.dropped_at:
        return Standing.TAKEN_BACK, Line(TAKEN_BACK)
    if notice.mail_at is None and notice.read_at:
        return Standing.NONE, Line("no mail")
    if notice.mail_at is None:
        return Standing.NONE, Line("no mail, by own choice")
    if notice.mail_at <= now:
        return Standing.WAITS, Line(ABOUT_TO)
    return Standing.WAITS, Line(WAITS_UNTIL, notice.mail_at)


def _site(notice: Notice, kind: Kind | None, now: datetime) -> tuple[Standing, Line | None]:
    if notice.read_at:
        return Standing.TOLD, Line("read on the site", notice.read_at)
    if notice.matter.dropped_at:
        return Standing.TAKEN_BACK, None
    if not notice.on_site:
        return Standing.NONE, Line("not on the site, by own choice")
    if notice.due_at > now:
        return Standing.WAITS, Line("on the site from", notice.due_at)
    if kind is not None and not kind.in_inbox:
        return Standing.ON_SITE, Line("on This week")
    return Standing.ON_SITE, Line("on the site, not read yet")
