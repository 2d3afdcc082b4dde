"""Kinds in words, for what was told long ago too."""

from __future__ import annotations

from coop.notices.kinds import kind_of

#: What went before its moment: mail may have told it, and what it said was so until then.
NO_LONGER_SO = "no longer so"
GONE = "A kind of notice that is no more"


def words_of(code: str) -> str:
    """The words of a kind, or that it is no more."""
    try:
        return kind_of(code).words
    except KeyError:
        return GONE
