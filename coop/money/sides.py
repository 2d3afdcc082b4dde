"""What the two sides of an entry are called, in the order of its movements: who gives, who gets.

Value flows from the account that gives to the one that receives (coop/money/models). For money and
produce that is "from" and "to". A fee or a deposit would read backwards so: there it is who is owed
and who owes, who holds and whose it is.
"""

from __future__ import annotations

from dataclasses import dataclass

from coop.money.models import Entry

Kind = Entry.Kind


@dataclass(frozen=True)
class Sides:
    """Words for both sides: above the columns of an entry, and on a statement.

    `by_receiver` stands on the statement of who receives, between the kind and the name of who
    gives; `by_giver` the other way round.
    """

    giver: str
    receiver: str
    by_receiver: str
    by_giver: str


PLAIN = Sides("From", "To", ", from", ", to")
OF_KIND = {
    Kind.FEE: Sides("Owed to", "Owed by", ", owed to", ", owed by"),
    Kind.DEPOSIT: Sides("Held by", "Deposit of", " by", " of"),
    Kind.DEPOSIT_BACK: Sides("Given back to", "By", " to", " by"),
}
#: Of their reversals, where the one who gave is the one who now gets.
OF_REVERSED = {
    Kind.FEE: Sides("No longer owed by", "To", ", no longer owed by", ", no longer owed to"),
    Kind.DEPOSIT: Sides(
        "Deposit of", "No longer held by", ", no longer held of", ", no longer held by"
    ),
    Kind.DEPOSIT_BACK: Sides("Held again by", "Deposit of", ", held again by", ", held again of"),
}


def sides_of(entry: Entry) -> Sides:
    """The words for the sides of an entry. No query with `reverses` at hand."""
    if entry.reverses is not None:
        return OF_REVERSED.get(Kind(entry.reverses.kind), PLAIN)
    return OF_KIND.get(Kind(entry.kind), PLAIN)
