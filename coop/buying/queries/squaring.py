"""What buying knows about the books: which buys are settled, why squaring up must wait, faults."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db.models import Q, Sum

from coop.buying.models import Buy, BuyPayment, Charge, Division, Farm, Tally
from coop.core.figures import join_words, money
from coop.money import hooks
from coop.money.models import Account, Movement
from coop.money.queries.balances import balances_in
from coop.people.models import Coop

UNCHARGED = (Buy.Stage.ASKING, Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


def register() -> None:
    """Put buying's part into the hooks of money; called once, when the app is ready."""
    hooks.reasons_to_wait.append(why_books_wait)
    hooks.faults.append(faults_in)


def lines_uncharged(coop: Coop) -> dict[int, list[str]]:
    """By buy, the produce that is divided, has a bill and is not charged. One query."""
    billed = Tally.objects.filter(supply__line__buy__coop=coop, bill_cents__gt=0).values(
        "supply__line_id"
    )
    charged = Charge.objects.filter(
        buy__coop=coop, what=Charge.What.PRODUCE, reversed_at__isnull=True
    ).values("line_id")
    divisions = (
        Division.objects.filter(line__buy__coop=coop, withdrawn_at__isnull=True, line__in=billed)
        .exclude(line__in=charged)
        .select_related("line")
        .order_by("line__position", "line_id")
    )
    found: defaultdict[int, list[str]] = defaultdict(list)
    for division in divisions:
        found[division.line.buy_id].append(division.line.produce)
    return dict(found)


def why_books_wait(coop: Coop) -> Iterator[str]:
    """Produce that was divided or paid for, and is charged to nobody."""
    uncharged = lines_uncharged(coop)
    paid = BuyPayment.objects.filter(
        buy__coop=coop, farm__isnull=False, entry__reversed_by__isnull=True
    ).values("buy_id")
    waiting = Buy.objects.filter(coop=coop).filter(
        Q(pk__in=uncharged, stage=Buy.Stage.DIVIDED)
        | Q(pk__in=paid, stage__in=(Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED))
    )
    for buy in waiting.order_by("pk"):
        if buy.stage == Buy.Stage.DIVIDED:
            yield f"{buy.title} is divided, and its produce is not charged yet. Charge it first."
        else:
            yield (
                f"{buy.title} has had a farm paid, and is not divided and charged yet. Finish that "
                "first."
            )


def squareable(buys: Iterable[Buy]) -> list[Buy]:
    """Of divided buys of one co-op, those of which nothing is open.

    Their account is at zero, their produce is charged, their farms are owed nothing, and no
    household that had a part in them owes anything.
    """
    buys = list(buys)
    if not buys:
        return []
    coop = buys[0].coop
    uncharged = lines_uncharged(coop)
    cents = {each.account.pk: each.cents for each in balances_in(coop)}
    sides = _accounts_by_buy(buys)
    return [
        buy
        for buy in buys
        if buy.pk not in uncharged
        and not cents[buy.account_id]
        and all(_is_settled(kind, cents[pk]) for pk, kind in sides[buy.pk])
    ]


def _is_settled(kind: str, cents: int) -> bool:
    return cents <= 0 if kind == Account.Kind.FARM else cents >= 0


def _accounts_by_buy(buys: list[Buy]) -> defaultdict[int, set[tuple[int, str]]]:
    """The farms and households that gave to a buy or received from it, with their kind."""
    by_account = {buy.account_id: buy.pk for buy in buys}
    found: defaultdict[int, set[tuple[int, str]]] = defaultdict(set)
    rows = Movement.objects.filter(Q(source__in=by_account) | Q(target__in=by_account)).values_list(
        "source_id", "source__kind", "target_id", "target__kind"
    )
    for source, source_kind, target, target_kind in rows.distinct():
        for buy_account, other, kind in (
            (source, target, target_kind),
            (target, source, source_kind),
        ):
            if buy_account in by_account and kind in {Account.Kind.FARM, Account.Kind.HOUSEHOLD}:
                found[by_account[buy_account]].add((other, kind))
    return found


def households_paid_ahead(coop: Coop) -> set[int]:
    """Households that paid for a buy whose produce is still to be charged."""
    charged = Charge.objects.filter(
        buy__coop=coop, what=Charge.What.PRODUCE, reversed_at__isnull=True
    )
    paid = BuyPayment.objects.filter(
        buy__coop=coop, buy__stage__in=UNCHARGED, farm__isnull=True, household__isnull=False
    ).filter(entry__reversed_by__isnull=True)
    return set(
        paid.exclude(buy__in=charged.values("buy_id")).values_list("household_id", flat=True)
    )


def farms_owed(coop: Coop) -> list[tuple[Farm, int]]:
    """Farms and what each is owed, in cents; below zero a farm owes the co-op."""
    cents = {each.account.pk: each.cents for each in balances_in(coop, Account.Kind.FARM)}
    farms = Farm.objects.filter(coop=coop, account__in=[pk for pk, owed in cents.items() if owed])
    return [(farm, cents[farm.account_id]) for farm in farms]


def buys_open_in_the_books(coop: Coop) -> list[tuple[Buy, str]]:
    """Divided buys that are not charged out, with what is missing: a sentence each."""
    uncharged = lines_uncharged(coop)
    cents = {each.account.pk: each.cents for each in balances_in(coop, Account.Kind.BUY)}
    found = []
    for buy in Buy.objects.filter(coop=coop, stage=Buy.Stage.DIVIDED).order_by("pk"):
        if buy.pk in uncharged:
            found.append((buy, f"{join_words(uncharged[buy.pk])} not charged yet"))
        elif rest := cents[buy.account_id]:
            amount = money(abs(rest), coop.currency)
            found.append((buy, f"{amount} of a surplus is claimed by nobody yet"))
    return found


# ---- Faults ---------------------------------------------------------------------------------
def faults_in(coop: Coop) -> Iterator[str]:
    """What should never be: a charge unlike its movements, a squared buy with a rest."""
    yield from _crooked_charges(coop)
    cents = {each.account.pk: each.cents for each in balances_in(coop, Account.Kind.BUY)}
    for buy in Buy.objects.filter(coop=coop, stage__in=(Buy.Stage.SQUARED, Buy.Stage.CALLED_OFF)):
        if rest := cents[buy.account_id]:
            amount = money(abs(rest), coop.currency)
            yield f"{buy.title} is {Buy.Stage(buy.stage).label}, and {amount} is still on it."


def _crooked_charges(coop: Coop) -> Iterator[str]:
    """A charge is what its entry moves through the buy's account, whichever side is the greater."""
    own = {charge.pk: charge for charge in Charge.objects.filter(buy__coop=coop)}
    came: defaultdict[int, int] = defaultdict(int)
    went: defaultdict[int, int] = defaultdict(int)
    sums = (
        Movement.objects.filter(entry__charge__buy__coop=coop)
        .filter(Q(source__kind=Account.Kind.BUY) | Q(target__kind=Account.Kind.BUY))
        .order_by()
        .values_list("entry__charge", "target__kind")
        .annotate(cents=Sum("cents"))
    )
    for charge_id, target_kind, cents in sums:
        (came if target_kind == Account.Kind.BUY else went)[charge_id] += cents
    for charge_id, charge in own.items():
        if charge.cents != max(came[charge_id], went[charge_id]):
            yield f"Charge {charge_id} and its movements differ."
    mismatched = Charge.objects.filter(buy__coop=coop).filter(
        Q(reversed_at__isnull=True, entry__reversed_by__isnull=False)
        | Q(reversed_at__isnull=False, entry__reversed_by__isnull=True)
    )
    for charge_id in mismatched.values_list("pk", flat=True):
        yield f"Charge {charge_id} and its reversal disagree."
