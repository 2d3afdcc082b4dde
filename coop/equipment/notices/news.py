"""What a household was told about its bookings and has not read: as news."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse

from coop.equipment.models import Booking, Told
from coop.equipment.notices import kinds
from coop.equipment.notices.letters import CAN_DO, CAN_DO_WITH_IT
from coop.equipment.notices.standing import causes_of, standing
from coop.equipment.words import name_of
from coop.notices.actions.keeping import Kept, keep_many
from coop.notices.says import Say
from coop.people.models import Coop

CAUSE = "told"
What = Told.What
#: By what was told: the end of the title, and what to do.
WORDS = {
    What.SHIFTED: ("yours would begin later", "Say whether the later time suits you."),
    What.OUT_OF_ORDER: ("out of order", CAN_DO),
    What.IN_ORDER: ("in order again", "There is nothing to do: your booking stands."),
    What.LAPSED: ("the offer to you is gone", "Look whether you are still in line."),
    What.CHANGED: ("what was changed for you", "Read what was changed, and look at your booking."),
    What.REFUSED: ("no hurry", "Take your time: the next in line lets it go."),
    What.LATE: ("not back yet", "Ask when it comes, or move your booking."),
}
#: Told in time for the booking that it is about.
IN_TIME = {What.SHIFTED, What.OUT_OF_ORDER, What.IN_ORDER, What.LATE}


def says_of(told: Told) -> list[Say]:
    """What there is to tell of a told row: nothing once it is read, or laid to rest.

    An offer is told by its booking, with its deadline.
    """
    if told.read_at or told.what == What.OFFERED:
        return []
    said, to_do = WORDS[What(told.what)]
    sentence = told.sentence
    if told.what == What.OUT_OF_ORDER:
        with_it = sentence.endswith(CAN_DO_WITH_IT)
        to_do = CAN_DO_WITH_IT if with_it else CAN_DO
        sentence = sentence.removesuffix(to_do).rstrip()
    path, button = _page_of(told)
    if told.booking is None:
        said, to_do = "your place in line has ended", "Find a time on another thing."
    return [
        Say(
            key="told",
            kind=kinds.NEWS.code,
            to=told.household,
            at=told.at,
            until=_until(told),
            title=f"{name_of(told.thing)}: {said}",
            to_do=to_do,
            details=(sentence,),
            path=path,
            button=button,
        )
    ]


def renew(pk: int) -> Kept:
    """Lock a told row, and keep what there is to tell of it."""
    with transaction.atomic():
        lock([pk])
        return keep_many(Told.objects.select_related("coop").get(pk=pk).coop, says_by_cause([pk]))


def lock(pks: Collection[int]) -> None:
    """Lock told rows until the transaction ends, in order: whoever reads one has it locked."""
    if pks:
        rows = Told.objects.filter(pk__in=pks).order_by("pk")
        list(rows.select_for_update(of=("self",), no_key=True).values_list("pk"))


def says_by_cause(pks: Collection[int]) -> dict[str, list[Say]]:
    """What there is to tell of told rows, by what names each cause. One query."""
    return {f"{CAUSE}:{told.pk}": says_of(told) for told in _read(pks)}


def live(coop: Coop) -> list[int]:
    """The rows that are not read, or that something is told of."""
    unread = Told.objects.filter(coop=coop, read_at=None).exclude(what=What.OFFERED)
    return sorted(causes_of(standing(coop, CAUSE)).union(unread.values_list("pk", flat=True)))


def unread_of_bookings(booking_ids: Collection[int]) -> set[int]:
    """What was told about bookings and is not read: its page, and until when it helps, hang on
    them. One query.
    """
    return _keys(Told.objects.filter(booking__in=booking_ids))


def unread_of_things(thing_ids: Collection[int]) -> set[int]:
    """What was told about things and is not read. One query."""
    return _keys(Told.objects.filter(thing__in=thing_ids))


def _keys(told: QuerySet[Told]) -> set[int]:
    unread = told.filter(read_at=None).exclude(what=What.OFFERED)
    return set(unread.values_list("pk", flat=True))


def _read(pks: Collection[int]) -> QuerySet[Told]:
    rows = Told.objects.filter(pk__in=pks).select_related("coop", "household", "thing", "booking")
    return rows.order_by("pk")


def _page_of(told: Told) -> tuple[str, str]:
    """Where it is answered, or read: as on This week."""
    slug, booking = told.coop.slug, told.booking
    if booking is None or booking.cancelled_at:
        if told.what == What.LAPSED:
            return reverse("equipment:standbys", args=[slug]), "Your places in line"
        return f"{reverse('equipment:find', args=[slug])}?kind={told.thing.kind}", "Free times"
    if told.what == What.SHIFTED:
        return reverse("equipment:answer_shift", args=[slug, booking.pk]), "Say yes or no"
    return reverse("equipment:booking", args=[slug, booking.pk]), "Your booking"


def _until(told: Told) -> datetime | None:
    """Until when it helps: before the time that the household counts on, where that is to come."""
    booking = told.booking
    if booking is None or told.what not in IN_TIME:
        return None
    counted_on = _counted_on(told, booking)
    return next((moment for moment in counted_on if moment > told.at), None)


def _counted_on(told: Told, booking: Booking) -> tuple[datetime, ...]:
    if told.what == What.SHIFTED and booking.shifted_from:
        return booking.shifted_from, booking.starts_at
    return booking.starts_at, booking.ends_at
