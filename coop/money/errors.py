"""Named errors of the books."""

from coop.people.errors import Refused


class AlreadyReversed(Refused):
    """An entry is put right once; its reversal cannot be reversed again."""


class BooksNotReady(Refused):
    """Squaring up must wait: something is unpaid, or a cost was charged to nobody yet."""
