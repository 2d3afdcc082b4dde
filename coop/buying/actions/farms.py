"""Keeping the list of farms and their price lists."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import TypeVar

from django.db import IntegrityError, transaction
from django.utils import timezone

from coop.buying.errors import Refused
from coop.buying.models import Farm, Offer, PriceBreak
from coop.buying.queries.farms import farm_for, offer_for
from coop.buying.rights import require_post_buys
from coop.money.actions.accounts import open_farm_account
from coop.people.changes import record_change
from coop.people.models import Member

Made = TypeVar("Made")


@dataclass(frozen=True)
class FarmTerms:
    """What is known of a farm; `round_trip_miles` from the pickup place, there and back."""

    name: str
    contact: str = ""
    phone: str = ""
    address: str = ""
    round_trip_miles: int = 0
    note: str = ""


@dataclass(frozen=True)
class OfferTerms:
    """One line of a price list; `prices` are (from this many containers, cents each)."""

    produce: str
    container: str
    measure: str
    size: int
    prices: tuple[tuple[int, int], ...]
    available: int | None = None
    at_least: int = 0
    note: str = ""


def add_farm(terms: FarmTerms, *, by: Member) -> Farm:
    """Put a farm on the list, with its account in the books."""
    require_post_buys(by)

    def make() -> Farm:
        account = open_farm_account(by.coop, terms.name)
        farm = Farm.objects.create(coop=by.coop, account=account, **asdict(terms))
        record_change(farm, "Put on the list", coop=by.coop, by=by, after=asdict(terms))
        return farm

    return _with_its_own_name(make)


def change_farm(farm_id: int, terms: FarmTerms, *, by: Member) -> Farm:
    """Change what is known of a farm. Buys keep the trip that they were posted with."""
    require_post_buys(by)

    def change() -> Farm:
        farm = farm_for(by, farm_id)
        before = {name: getattr(farm, name) for name in asdict(terms)}
        Farm.objects.filter(pk=farm.pk).update(**asdict(terms))
        farm.account.name = terms.name
        farm.account.save(update_fields=["name"])
        record_change(farm, "Changed", coop=by.coop, by=by, before=before, after=asdict(terms))
        return farm

    return _with_its_own_name(change)


def _with_its_own_name(act: Callable[[], Made]) -> Made:
    try:
        with transaction.atomic():
            return act()
    except IntegrityError as refusal:
        if "farm_name_once_in_a_coop" in str(refusal):
            raise Refused("A farm of that name is on the list.", field="name") from refusal
        raise


def retire_farm(farm_id: int, *, by: Member) -> Farm:
    """Take a farm off the list; the buys that drew on it keep it."""
    return _set_retired(farm_id, retired=True, by=by)


def restore_farm(farm_id: int, *, by: Member) -> Farm:
    """Put a farm on the list again."""
    return _set_retired(farm_id, retired=False, by=by)


def _set_retired(farm_id: int, *, retired: bool, by: Member) -> Farm:
    require_post_buys(by)
    with transaction.atomic():
        farm = farm_for(by, farm_id)
        farm.retired_at = timezone.now() if retired else None
        farm.save(update_fields=["retired_at"])
        words = "Taken off the list" if retired else "Put on the list again"
        record_change(farm, words, coop=by.coop, by=by)
        return farm


def add_offer(farm_id: int, terms: OfferTerms, *, by: Member) -> Offer:
    """Add a line to a farm's price list."""
    require_post_buys(by)
    _check(terms)
    with transaction.atomic():
        farm = farm_for(by, farm_id)
        offer = Offer.objects.create(farm=farm, **_columns(terms))
        _set_prices(offer, terms)
        record_change(farm, f"Offers {offer}", coop=by.coop, by=by, after=asdict(terms))
        return offer


def change_offer(farm_id: int, offer_id: int, terms: OfferTerms, *, by: Member) -> Offer:
    """Change a line of a price list. Buys keep the terms that they were posted with."""
    require_post_buys(by)
    _check(terms)
    with transaction.atomic():
        offer = offer_for(by, farm_id, offer_id)
        before = terms_of(offer)
        Offer.objects.filter(pk=offer.pk).update(**_columns(terms))
        offer.prices.all().delete()
        _set_prices(offer, terms)
        record_change(
            offer.farm,
            f"Changed the offer of {offer}",
            coop=by.coop,
            by=by,
            before=asdict(before),
            after=asdict(terms),
        )
        return offer


def retire_offer(farm_id: int, offer_id: int, *, by: Member) -> Offer:
    """Take a line off a price list; the buys that drew on it keep it."""
    require_post_buys(by)
    with transaction.atomic():
        offer = offer_for(by, farm_id, offer_id)
        offer.retired_at = timezone.now()
        offer.save(update_fields=["retired_at"])
        record_change(offer.farm, f"No longer offers {offer}", coop=by.coop, by=by)
        return offer


def terms_of(offer: Offer) -> OfferTerms:
    """The terms of an offer as they stand."""
    return OfferTerms(
        produce=offer.produce,
        container=offer.container,
        measure=offer.measure,
        size=offer.size,
        prices=tuple((price.from_count, price.cents_each) for price in offer.prices.all()),
        available=offer.available,
        at_least=offer.at_least,
        note=offer.note,
    )


def _columns(terms: OfferTerms) -> dict[str, object]:
    return {name: value for name, value in asdict(terms).items() if name != "prices"}


def _set_prices(offer: Offer, terms: OfferTerms) -> None:
    PriceBreak.objects.bulk_create(
        PriceBreak(offer=offer, from_count=count, cents_each=cents) for count, cents in terms.prices
    )


def _check(terms: OfferTerms) -> None:
    counts = [count for count, _ in terms.prices]
    if not counts or counts[0] != 1:
        raise Refused("The first price must hold from 1 container on.", field="price_1")
    if counts != sorted(set(counts)):
        raise Refused("Each price break must start at more containers than the one before.")
    if terms.available is not None and terms.available < terms.at_least:
        raise Refused("The farm has fewer than its own minimum.", field="available")
