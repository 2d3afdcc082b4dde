"""What must hold for a thing to go out with a booking, or to come back from it."""

from __future__ import annotations

from datetime import datetime

from coop.core.figures import join_words
from coop.equipment.actions import rules
from coop.equipment.errors import AlreadyWritten, NotFit, Refused, StillOut, TooLate
from coop.equipment.models import Booking, Fault, Handover, Thing
from coop.equipment.queries.free import turnaround_of
from coop.equipment.queries.handovers import EARLIEST, GRACE, who_has_it
from coop.equipment.words import moment_said

What = Handover.What


def require_can_go(booking: Booking, now: datetime) -> None:
    """Raise unless the thing of a booking may go out with it now.

    Raises TooLate, AlreadyWritten, Refused (an offer; far too early), StillOut, NotFit, and for a
    time before the booking's own what `rules` raise: Taken, TooLong, OutsideHours.
    """
    _require_standing(booking, now)
    require_home(booking.thing, booking)
    require_fit_to_go(booking.thing)
    if goes_early(booking, now):
        _require_free_before(booking, now)
    elif booking.starts_at > now:
        _require_time_is_over(booking, now)


def goes_early(booking: Booking, now: datetime) -> bool:
    """Whether it would go out so early that the booking has to begin earlier."""
    return booking.starts_at - now > GRACE


def require_is_out(booking: Booking) -> None:
    """Raise unless the thing of a booking is out with it: TooLate, or AlreadyWritten when back."""
    moves = {each.what: each for each in booking.handovers.all()}
    if What.BACK in moves:
        raise AlreadyWritten(
            f"{booking.thing} came back {moment_said(moves[What.BACK].at, booking.coop)}: "
            f"{moves[What.BACK].by} wrote it down."
        )
    if What.OUT not in moves:
        raise TooLate(f"{booking.thing} has not gone out with this booking.")


def require_home(thing: Thing, booking: Booking | None = None) -> None:
    """Raise StillOut where somebody has the thing; AlreadyWritten where this booking does."""
    with_whom = who_has_it(thing)
    if with_whom is None:
        return
    since = f"{with_whom.household} has {thing}"
    if booking is not None and with_whom.pk == booking.pk:
        raise AlreadyWritten(f"{since} already: somebody wrote it down a moment ago.")
    phone = f" ({with_whom.household.phone})" if with_whom.household.phone else ""
    raise StillOut(
        f"{since}, due back {moment_said(with_whom.ends_at, with_whom.coop)}. Ask them{phone}; "
        "when it is here, write down first that it is back."
    )


def require_fit_to_go(thing: Thing) -> None:
    """Raise NotFit for a thing that is retired, out of order, or has something to see to."""
    if thing.retired_at:
        raise NotFit(f"{thing} is no longer lent.")
    faults = Fault.objects.filter(thing=thing, mended_at=None).order_by("at", "pk")
    if said := [fault.sentence for fault in faults]:
        keeper = f"{thing.owner}, whose it is, or the steward" if thing.owner else "the steward"
        raise NotFit(
            f"{thing} cannot go out yet. {' '.join(map(_whole, said))} "
            f"See to it, or ask {keeper}; it goes out when that is written down as done."
        )


def _whole(sentence: str) -> str:
    return sentence if sentence.endswith((".", "!", "?", "…")) else f"{sentence}."


def _require_standing(booking: Booking, now: datetime) -> None:
    if booking.cancelled_at:
        raise TooLate("This booking was cancelled. Book it anew.")
    moves = [each.what for each in booking.handovers.all()]
    if What.BACK in moves:
        raise TooLate(f"{booking.thing} was out with this booking and came back. Book it anew.")
    if What.OUT in moves:
        return  # `require_home` says with whom
    if booking.held_until:
        raise Refused("It is an offer, not yet a booking: take it first.")
    if booking.ends_at <= now:
        raise TooLate(
            f"Its time was over {moment_said(booking.ends_at, booking.coop)}. Book it anew."
        )


def _require_free_before(booking: Booking, now: datetime) -> None:
    """Raise unless a booking could begin now instead of at its own start."""
    if booking.starts_at - now > EARLIEST:
        raise Refused(
            f"It is booked from {moment_said(booking.starts_at, booking.coop)}. Move the booking "
            "to an earlier time first."
        )
    span, thing = (now, booking.ends_at), booking.thing
    rules.require_short(thing, span)
    rules.require_open(thing, span)
    rules.require_free(thing, span, turnaround_of(thing), besides=[booking.pk])


def _require_time_is_over(booking: Booking, now: datetime) -> None:
    """Raise TooLate where another household's time still runs, though it has not fetched it.

    The turnaround between them is left aside: whoever stands there sees whether it is clean.
    """
    before = Booking.objects.filter(
        thing=booking.thing,
        cancelled_at=None,
        starts_at__lt=booking.starts_at,
        ends_at__gt=now,
    )
    if other := before.exclude(pk=booking.pk).select_related("household").first():
        until = moment_said(other.ends_at, booking.coop)
        raise TooLate(f"It is {other.household}'s time until {until}: wait until then.")


def missing_said(missing: list[tuple[str, int, int]]) -> str:
    """Parts of which fewer were counted than there should be: "rack (0 of 1)".

    >>> missing_said([("rack", 0, 1), ("tray", 3, 4)])
    'rack (0 of 1) and tray (3 of 4)'
    """
    return join_words(f"{name} ({counted} of {expected})" for name, counted, expected in missing)
