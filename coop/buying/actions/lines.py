"""Putting lines into a buy while it is asking, and taking them out."""

from __future__ import annotations

from collections.abc import Collection

from django.db import IntegrityError, transaction
from django.db.models import Max, ProtectedError

from coop.buying.actions.stages import require_stage
from coop.buying.errors import Refused, TooLate
from coop.buying.models import Ask, Buy, Line, Measure, Offer, Release, Supply, SupplyPrice
from coop.buying.notices.buys import renew_buy
from coop.buying.notices.known import LINE_ADDED
from coop.buying.queries.buys import lock_buy
from coop.buying.queries.farms import open_offers_in
from coop.buying.rights import require_run
from coop.core.figures import counted
from coop.people.changes import record_change
from coop.people.models import Member


def add_line(buy_id: int, offer_ids: Collection[int], *, produce: str = "", by: Member) -> Line:
    """Put a produce into a buy, supplied by offers of one measure, on their terms as they are now.

    The line is called `produce`, or as the first offer calls it.
    """
    try:
        with transaction.atomic():
            buy = lock_buy(by, buy_id)
            require_run(by, buy)
            require_stage(buy, Buy.Stage.ASKING)
            offers = list(open_offers_in(by.coop).filter(pk__in=offer_ids))
            _check_offers(offers, offer_ids)
            line = _make_line(buy, produce or offers[0].produce, Measure(offers[0].measure))
            for offer in offers:
                _supply(line, offer)
            words = f"{line.produce} put in, from {counted(len(offers), 'offer')}"
            record_change(buy, words, coop=buy.coop, by=by, after={LINE_ADDED: line.pk})
            renew_buy(buy.pk)
            return line
    except IntegrityError as refusal:
        if _is_same_produce(refusal):
            raise Refused("This buy has a line of that name.", field="produce") from refusal
        raise


def _is_same_produce(refusal: IntegrityError) -> bool:
    """The constraint line_produce_once_in_a_buy; SQLite names its columns instead."""
    text = str(refusal)
    return "line_produce_once_in_a_buy" in text or "buying_line.produce" in text


def _check_offers(offers: list[Offer], offer_ids: Collection[int]) -> None:
    if not offers or len(offers) != len(set(offer_ids)):
        raise Refused("Choose from what the farms offer now.", field="offers")
    if len({offer.measure for offer in offers}) > 1:
        raise Refused(
            "One line is all by weight or all by count. Make two lines of these.", field="offers"
        )


def _make_line(buy: Buy, produce: str, measure: Measure) -> Line:
    step = buy.coop.division_step_tenths if measure == Measure.WEIGHT else 1
    last = buy.lines.aggregate(last=Max("position"))["last"]
    return Line.objects.create(
        buy=buy,
        produce=produce,
        measure=measure,
        step=step,
        position=0 if last is None else last + 1,
    )


def _supply(line: Line, offer: Offer) -> Supply:
    """Keep the offer's terms as they are now: later changes of the price list do not reach it."""
    supply = Supply.objects.create(
        line=line,
        offer=offer,
        farm=offer.farm,
        container=offer.container,
        size=offer.size,
        available=offer.available,
        at_least=offer.at_least,
        trip_cents=offer.farm.round_trip_miles * line.buy.coop.trip_cents_per_mile,
    )
    SupplyPrice.objects.bulk_create(
        SupplyPrice(supply=supply, from_count=price.from_count, cents_each=price.cents_each)
        for price in offer.prices.all()
    )
    return supply


def remove_line(buy_id: int, line_id: int, *, by: Member) -> Buy:
    """Take a line out of a buy that nobody asks anything of."""
    with transaction.atomic():
        buy = lock_buy(by, buy_id)
        require_run(by, buy)
        require_stage(buy, Buy.Stage.ASKING)
        line = buy.lines.filter(pk=line_id).first()
        if line is None:
            raise TooLate("That line was taken out already.")
        if Ask.objects.filter(line=line, wanted__gt=0).exists():
            raise Refused(f"Somebody asks for {line.produce}: it stays until they give it up.")
        words = f"{line.produce} taken out"
        _delete(line)
        record_change(buy, words, coop=buy.coop, by=by)
        renew_buy(buy.pk)
        return buy


def _delete(line: Line) -> None:
    try:
        Release.objects.filter(ask__line=line).delete()
        line.asks.all().delete()
        line.delete()
    except ProtectedError as refusal:
        raise Refused(
            f"{line.produce} was tallied or divided once, so it stays in the history of this buy."
        ) from refusal
