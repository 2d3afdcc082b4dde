"""Photos of things, and of how they came back: added, and taken off again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import IO, Any

from django.db import transaction

from coop.equipment.actions.locks import lock_thing
from coop.equipment.errors import Refused
from coop.equipment.models import Handover, Photo, Thing
from coop.equipment.pictures import NoPicture, Picture, read_picture
from coop.equipment.rights import FOR_ITS_KEEPERS, can_hand_over, can_keep, require_keep
from coop.people.changes import record_change
from coop.people.models import Member
from coop.people.rights import require

#: Of one thing, and of one handover. They lie in the database.
MOST_PHOTOS = 12
LONGEST_FILE_NAME = 60


def save_photo(
    file: IO[bytes] | Picture | Any,
    thing: Thing,
    *,
    by: Member,
    handover: Handover | None = None,
) -> Photo:
    """Keep a photo of a thing, or of how it was at a handover.

    `file`: what was sent, or a Picture that `read_picture` made of it before a transaction.
    Raises NoPicture (field "photo"), Refused where there are as many as may be, NotAllowed.
    """
    picture = file if isinstance(file, Picture) else read_picture(file)
    with transaction.atomic():
        _require(by, thing, handover)
        kept = lock_thing(by.coop, thing.pk)
        there = Photo.objects.filter(thing=kept, handover=handover).count()
        if there >= MOST_PHOTOS:
            raise Refused(
                f"There are {there} photos already, and no more are kept. Take one off first.",
                field="photo",
            )
        return Photo.objects.create(
            thing=kept,
            handover=handover,
            jpeg=picture.jpeg,
            width=picture.width,
            height=picture.height,
            by=by,
        )


def save_photos(files: Sequence[Any], thing: Thing, *, by: Member) -> list[Photo]:
    """Keep several photos of a thing, all of them or none.

    Raises NoPicture, with the name of the file where there are several; NotAllowed; Refused.
    """
    require_keep(by, thing)
    if len(files) > MOST_PHOTOS:
        raise Refused(f"At most {MOST_PHOTOS} photos are kept of a thing.", field="photo")
    pictures = [_read(file, is_named=len(files) > 1) for file in files]
    with transaction.atomic():
        return [save_photo(picture, thing, by=by) for picture in pictures]


def drop_photo(photo: Photo, *, by: Member) -> None:
    """Take a photo of a thing off. One of a handover stays: it may be disputed.

    Raises NotAllowed, and Refused for a handover's.
    """
    require_keep(by, photo.thing)
    if photo.handover_id is not None:
        raise Refused("A photo of a handover is kept, so that it can be looked at later.")
    with transaction.atomic():
        gone, _ = Photo.objects.filter(pk=photo.pk).delete()
        if gone:
            record_change(photo.thing, "Took a photo off.", coop=by.coop, by=by)


def _read(file: Any, *, is_named: bool) -> Picture:
    try:
        return read_picture(file)
    except NoPicture as refusal:
        name = str(getattr(file, "name", ""))[:LONGEST_FILE_NAME]
        if not (is_named and name):
            raise
        raise NoPicture(f"{name}: {refusal.sentence}") from refusal


def _require(by: Member, thing: Thing, handover: Handover | None) -> None:
    if handover is None:
        require(can_keep(by, thing), FOR_ITS_KEEPERS)
        return
    if handover.booking.thing_id != thing.pk:
        raise ValueError(f"Handover {handover.pk} is not of thing {thing.pk}.")
    # Who has it next may write a return down too, and photograph it.
    require(
        handover.by_id == by.pk or can_hand_over(by, handover.booking),
        "That is for the household that has it, whoever keeps it, the steward, or a coordinator.",
    )
