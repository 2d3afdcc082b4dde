"""Texts that people typed, made fit for a header, a subject, and a line of a letter."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

CONTROLS = {"Cc", "Cs"}  # of Unicode's general categories; lone halves of a pair cannot be sent
#: Marks that turn the direction of what follows, past the end of their own text.
TURNS = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


def one_line(text: str) -> str:
    r"""A text without breaks, control characters, and marks that turn its direction.

    >>> one_line("Sweet corn\r\nBcc: all@example.test")
    'Sweet corn Bcc: all@example.test'
    """
    if not (text.isascii() and text.isprintable()):
        text = "".join(" " if _is_unseen(letter) else letter for letter in text)
    return " ".join(text.split())


def lines_of(details: Iterable[object]) -> list[str]:
    r"""The lines of all details, each fit to stand alone; empty ones are left out.

    >>> lines_of(["Bring boxes.\n\nAnd ice.", ""])
    ['Bring boxes.', 'And ice.']
    """
    lines = (one_line(line) for detail in details for line in str(detail).splitlines())
    return [line for line in lines if line]


def _is_unseen(letter: str) -> bool:
    return unicodedata.category(letter) in CONTROLS or unicodedata.bidirectional(letter) in TURNS
