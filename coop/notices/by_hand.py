"""Matters that a person wrote: a letter to those whom something concerns.

Their title is its subject, `to_do` says who it is from, the details are its text and last of all
one line on how to answer. `path` leads to what it is about; its own page is named by its cause.
"""

from __future__ import annotations

from django.urls import reverse

from coop.notices.kinds import kind_of
from coop.notices.models import Matter, Notice
from coop.people.models import Coop

#: What stands before the key of a letter, as a cause of what is told: "writing:12".
CAUSE = "writing"
READ = "Read the letter"


def is_by_hand(matter: Matter) -> bool:
    """Whether a person wrote it."""
    try:
        return kind_of(matter.kind).by_hand
    except KeyError:
        return False


def is_own(notice: Notice) -> bool:
    """Whether its reader wrote it: that notice was read in the moment in which it was made."""
    return notice.read_at == notice.made_at and is_by_hand(notice.matter)


def page_of(matter: Matter, coop: Coop) -> str:
    """The page where the site says what the matter says: a letter's own, else where it is done."""
    cause, _, pk = matter.about.partition(":")
    if cause == CAUSE and is_by_hand(matter):
        return reverse("notices:writing", args=[coop.slug, int(pk)])
    return "/" + matter.path.lstrip("/")
