"""A time has opened on a thing: the first in line is offered it."""

from __future__ import annotations

from datetime import datetime

from coop.equipment.models import Thing


def offer_openings(thing: Thing, now: datetime) -> None:
    """Offer what is free on a thing to those in line for it, fairest first.

    Called, with the thing locked, by every act that may have freed some of its time.
    """


def lapse_offers(thing: Thing, now: datetime) -> None:
    """Let go of the offers of a thing that nobody took in time. The thing is locked."""
