"""Texts as a calendar holds them (RFC 5545, section 3.3.11)."""

from __future__ import annotations

import unicodedata

from icalendar import vText

#: In this order: what escapes comes first.
ESCAPED = (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n"))
KEPT = "\n\t"


class Text(vText):
    """A text that is read back as it was written.

    icalendar's own takes a backslash with an N after it for a new line.
    """

    __slots__ = ()

    def to_ical(self) -> bytes:
        """Escaped: backslash, semicolon, comma and the end of a line."""
        text = str(self)
        for plain, escaped in ESCAPED:
            text = text.replace(plain, escaped)
        return text.encode()


def text_of(value: str) -> Text:
    """A text without what no calendar can hold: control characters, but for tab and line end.

    >>> text_of("Barn, left door" + chr(7)).to_ical() == b"Barn" + bytes([92]) + b", left door"
    True
    """
    lines = value.replace("\r\n", "\n").replace("\r", "\n")
    return Text("".join(filter(_is_kept, lines)))


def _is_kept(letter: str) -> bool:
    return letter in KEPT or unicodedata.category(letter) != "Cc"
