"""The nightly check of the books: what the database holds by itself, looked at once more."""

from __future__ import annotations

from django.db.models import Count, F, Q, Sum

from coop.core.figures import counted, money
from coop.money import hooks
from coop.money.models import BooksCheck, Entry, Movement
from coop.money.queries.balances import balances_in
from coop.people.models import Coop

LONGEST_FINDING = 400


def check_books(coop: Coop) -> BooksCheck:
    """Look for anything wrong in the books of a co-op, and write down what was found."""
    faults = [*_off_balance(coop), *_across(coop), *_empty(coop), *_crooked_reversals(coop)]
    faults += [fault for look in hooks.faults for fault in look(coop)]
    count = Entry.objects.filter(coop=coop).count()
    well = f"{counted(count, 'entry')}: all balances add up to zero."
    return BooksCheck.objects.create(
        coop=coop, sound=not faults, finding=(" ".join(faults) or well)[:LONGEST_FINDING]
    )


def _off_balance(coop: Coop) -> list[str]:
    off_cents = sum(balance.cents for balance in balances_in(coop))
    return [f"Balances add up to {money(off_cents, coop.currency)}, not to zero."] * bool(off_cents)


def _across(coop: Coop) -> list[str]:
    """Movements with an account of another co-op than their entry's."""
    across = Movement.objects.filter(entry__coop=coop).filter(
        ~Q(source__coop=F("entry__coop")) | ~Q(target__coop=F("entry__coop"))
    )
    return [f"Movement {pk} crosses co-ops." for pk in across.values_list("pk", flat=True)]


def _empty(coop: Coop) -> list[str]:
    empty = Entry.objects.filter(coop=coop).annotate(count=Count("movements")).filter(count=0)
    return [f"Entry {pk} moves nothing." for pk in empty.values_list("pk", flat=True)]


def _crooked_reversals(coop: Coop) -> list[str]:
    """A reversal moves, from each account to each other, what its entry moved the other way."""
    there = _flows(coop, "entry_id", "source_id", "target_id", reversed_ones=True)
    back = _flows(coop, "entry__reverses_id", "target_id", "source_id", reversed_ones=False)
    wrong = {key[0] for key, _ in there.items() ^ back.items()}
    return [f"Entry {pk} and its reversal differ." for pk in sorted(wrong)]


def _flows(
    coop: Coop, entry: str, giver: str, receiver: str, *, reversed_ones: bool
) -> dict[tuple[int, int, int], int]:
    which = "entry__reversed_by" if reversed_ones else "entry__reverses"
    sums = (
        Movement.objects.filter(entry__coop=coop, **{f"{which}__isnull": False})
        .order_by()
        .values_list(entry, giver, receiver)
        .annotate(cents=Sum("cents"))
    )
    return {(row[0], row[1], row[2]): row[3] for row in sums}
