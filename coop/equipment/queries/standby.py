"""Places in line read: one for a member, what is offered to a household, and why in which order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, QuerySet
from django.db.models.functions import Coalesce
from django.http import Http404

from coop.equipment.models import Booking, Standby
from coop.equipment.queries.bookings import with_parties
from coop.equipment.queries.kept_back import KeptBack, kept_back, minded_by
from coop.equipment.queries.line import in_line, in_order, minutes_had
from coop.equipment.rights import can_give_up, require_act_for
from coop.equipment.words import kind_said, length_said, unbroken
from coop.people.models import Household, Member
from coop.people.queries.households import household_named

#: How long a place that is over stays on the page. Judgement, no source.
SHOWN_WHEN_OVER = timedelta(days=14)


@dataclass(frozen=True)
class Place:
    """A place in line as a page shows it.

    `number` counts those who go before it and could take the same time, itself with them; `offer`
    is what it is offered now; `why` says who goes first, and is empty for other households;
    `may_end`: the member may give it up.
    """

    standby: Standby
    number: int
    minutes_had: int
    offer: Booking | None
    why: str
    may_end: bool

    @property
    def had(self) -> str:
        """How long the household had the kind this year."""
        return unbroken(had_said(self.minutes_had))


@dataclass(frozen=True)
class KindLine:
    """Everybody who stands in line for a kind of thing, whose turn is first at the top."""

    kind: str
    places: list[Place]


def standby_for(member: Member, standby_id: int) -> Standby:
    """A place in line to read. Absent and another co-op's are the same 404."""
    place = (
        Standby.objects.filter(coop=member.coop, pk=standby_id)
        .select_related("household", "coop", "thing")
        .first()
    )
    if place is None:
        raise Http404
    return place


def household_to_act_for(member: Member, named: str) -> Household:
    """The household that an address names (its id as text, empty for the member's own).

    Absent, malformed and another co-op's are the same 404. Raises NotAllowed for one that the
    member may not act for.
    """
    household = household_named(member, named)
    require_act_for(member, household)
    return household


def offers_to(household: Household, now: datetime) -> QuerySet[Booking]:
    """What a household is offered and may still take; what runs out first comes first."""
    offers = Booking.objects.filter(household=household, cancelled_at=None, held_until__gt=now)
    return with_parties(offers).select_related("standby").order_by("held_until", "id")


def lines_in(member: Member, now: datetime) -> list[KindLine]:
    """Everybody in line by kind, as a member sees it. Four queries at the most."""
    standbys = list(in_line(now).filter(coop=member.coop))
    if not standbys:
        return []
    by_kind: dict[str, list[Standby]] = defaultdict(list)
    for each in standbys:
        by_kind[each.kind].append(each)
    had = minutes_had(member.coop, by_kind, now)
    offers = _offers_by_place(standbys)
    own_time = minded_by(member.household, standbys, now)
    kept = {each.pk: kept_back(each, own_time, now) for each in standbys if _is_own(each, member)}
    return [
        KindLine(kind, list(_places(in_order(own, had[kind]), offers, kept, member)))
        for kind, own in sorted(by_kind.items())
    ]


def over_lately(household: Household, now: datetime) -> list[Standby]:
    """Places of a household that ended lately; each says `was_taken`. One query.

    One whose window has passed is over, whether or not anybody has written that down.
    """
    taken = Booking.objects.filter(standby=OuterRef("pk"), held_until=None, cancelled_at=None)
    places = Standby.objects.filter(household=household).annotate(
        over_at=Coalesce("ended_at", "until_at"), was_taken=Exists(taken)
    )
    lately = places.filter(over_at__gt=now - SHOWN_WHEN_OVER, over_at__lte=now)
    return list(lately.select_related("thing").order_by("-over_at"))


def offered_instead(passed_on: Booking) -> Booking | None:
    """What the next in line was offered of the time that a household passed on, or None."""
    offers = Booking.objects.filter(
        thing=passed_on.thing_id,
        cancelled_at=None,
        held_until__isnull=False,
        starts_at__lt=passed_on.ends_at,
        ends_at__gt=passed_on.starts_at,
    )
    others = offers.exclude(household=passed_on.household_id).select_related("household")
    return others.order_by("starts_at").first()


def _offers_by_place(standbys: Iterable[Standby]) -> dict[int, Booking]:
    held = Booking.objects.filter(
        standby__in=list(standbys), held_until__isnull=False, cancelled_at=None
    ).select_related("thing")
    return {each.standby_id: each for each in held if each.standby_id}


def _is_own(standby: Standby, member: Member) -> bool:
    return standby.household_id == member.household_id


def _places(
    turns: Sequence[tuple[Standby, int]],
    offers: Mapping[int, Booking],
    kept: Mapping[int, KeptBack],
    member: Member,
) -> Iterator[Place]:
    had = {standby.household_id: minutes for standby, minutes in turns}
    waiting = [standby for standby, _ in turns if standby.pk not in offers]
    for standby, minutes in turns:
        rivals = [each for each in waiting if is_rival(each, standby)]
        offer = offers.get(standby.pk)
        ahead = rivals[: _ahead(standby, turns, rivals)]
        if offer:
            said = why_offered(offer, rivals, had)
        else:
            said = why(standby, ahead, had, kept.get(standby.pk, KeptBack()))
        yield Place(
            standby,
            len(ahead) + 1,
            minutes,
            offer,
            said if _is_own(standby, member) else "",
            can_give_up(member, standby),
        )


def _ahead(
    standby: Standby, turns: Sequence[tuple[Standby, int]], rivals: Sequence[Standby]
) -> int:
    """How many of the rivals have their turn before a place."""
    order = {each.pk: place for place, (each, _) in enumerate(turns)}
    return sum(order[each.pk] < order[standby.pk] for each in rivals)


def is_rival(one: Standby, other: Standby) -> bool:
    """Whether two places in line for a kind could want the same time of the same thing."""
    same_thing = None in (one.thing_id, other.thing_id) or one.thing_id == other.thing_id
    same_gauge = "" in (_gauge(one), _gauge(other)) or _gauge(one) == _gauge(other)
    same_time = one.from_at < other.until_at and other.from_at < one.until_at
    return same_thing and same_gauge and same_time and one.household_id != other.household_id


def _gauge(standby: Standby) -> str:
    """The gauge that a place wants, or that its thing has; nothing where none matters."""
    return standby.thing.gauge if standby.thing else standby.gauge


def why(standby: Standby, before: Sequence[Standby], had: Mapping[int, int], kept: KeptBack) -> str:
    """Why a household's place is where it is, to the household, and what keeps it from an offer.

    That it goes first is not said where it can be offered nothing.
    """
    turn = "" if kept.stops_all and not before else _whose_turn(standby, before, had)
    return " ".join(filter(None, [turn, kept.said]))


def _whose_turn(standby: Standby, before: Sequence[Standby], had: Mapping[int, int]) -> str:
    own = had.get(standby.household_id, 0)
    with_kind = f"with a {kind_said(standby.kind)} this year, booked or had"
    if not before:
        return f"You go first: {had_said(own)} {with_kind}."
    first = before[0].household
    theirs = had.get(first.pk, 0)
    if theirs == own:
        return (
            f"{first} goes first: each of you has {had_said(own)} {with_kind}, and they asked "
            "first."
        )
    return f"{first} goes first: {had_said(theirs)} {with_kind}; you have {had_said(own)}."


def why_offered(offer: Booking, rivals: Sequence[Standby], had: Mapping[int, int]) -> str:
    """Why a household was offered something before the others, to the household.

    `rivals` wait, whose turn is first at the top.
    """
    if not rivals:
        return "Nobody else is in line for it."
    own = had.get(offer.household_id, 0)
    following = rivals[0]
    theirs = had.get(following.household_id, 0)
    kind = kind_said(following.kind)
    if theirs < own:
        return f"{following.household} had less, and cannot use this time or was offered it before."
    return (
        f"You go first: {had_said(own)} with a {kind} this year, booked or had; "
        f"{following.household}, who is next, has {had_said(theirs)}."
    )


def had_said(minutes: int) -> str:
    """How long a household had something.

    >>> had_said(0), had_said(840)
    ('0 h', '14 h')
    """
    return length_said(minutes) if minutes else "0 h"
