"""A letter to those whom something concerns: written once, never altered, and told like news."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F

from coop.notices import by_hand
from coop.notices.actions.keeping import keep
from coop.notices.circles import NOT_THEIRS, Concern
from coop.notices.errors import AlreadyWritten, NobodyThere, ReachChanged
from coop.notices.kinds import AT_ONCE, Kind, declare
from coop.notices.models import Notice, Writing
from coop.notices.queries.reach import reach_of
from coop.notices.says import Say
from coop.people.limits import DAY_SECONDS, spend
from coop.people.models import Household, Member
from coop.people.rights import require

WRITTEN = Kind(
    "written", "Letters", "A letter from who runs a buy or keeps a thing", AT_ONCE, by_hand=True
)
#: Letters a day by one member. Judgement, no source: a busy pickup day needs a handful.
MOST_A_DAY = 20


@dataclass(frozen=True)
class Letter:
    """What is written: its subject, its text, the code of the part of the circle that gets it."""

    title: str
    text: str
    part: str


def register() -> None:
    """Make the kind of letters known; called once, when the app is ready."""
    declare(WRITTEN)


def write(
    concern: Concern, letter: Letter, *, by: Member, seen: str = "", once: UUID | None = None
) -> Writing:
    """Send a letter to those of a circle whom it names, and keep it as it was sent.

    `seen` is the digest of the households and people that the member looked at. `once` is the
    number of the form. Who asks or books a moment later does not get it. Who writes gets no mail
    of it. Raises NotAllowed, NobodyThere, ReachChanged, AlreadyWritten, TooMany.
    """
    require(concern.may_write, NOT_THEIRS)
    with transaction.atomic():
        part = next((each for each in concern.parts() if each.code == letter.part), None)
        reach = reach_of(by.coop, part) if part else None
        if once and (sent := Writing.objects.filter(once=once, by=by).first()):
            raise AlreadyWritten(sent)
        if reach is None or not reach.reached:
            raise NobodyThere
        if seen and seen != reach.digest:
            raise ReachChanged
        writing = _write_once(concern, letter, by=by, once=once)
        spend(f"write:{by.user_id}", at_most=MOST_A_DAY, seconds=DAY_SECONDS)
        keep(by.coop, about_of(writing), _says(writing, concern, reach.reached))
        own = Notice.objects.filter(
            member=by, matter__coop=by.coop, matter__about=about_of(writing)
        )
        own.update(mail_at=None, read_at=F("made_at"))
        return writing


def how_to_answer(writer: Member) -> str:
    """How a reader reaches who wrote: members' own addresses are shown to nobody."""
    if phone := writer.household.phone:
        return f"To answer: {writer.household} household, {phone}."
    return f"To answer, talk to {writer}."


def about_of(writing: Writing) -> str:
    """The name of a letter as the cause of what is told."""
    return f"{by_hand.CAUSE}:{writing.pk}"


def _write_once(concern: Concern, letter: Letter, *, by: Member, once: UUID | None) -> Writing:
    """Write it down, or say that its form was there before it."""
    try:
        with transaction.atomic():
            return Writing.objects.create(
                coop=by.coop,
                about=concern.about,
                by=by,
                title=letter.title,
                text=letter.text,
                once=once,
            )
    except IntegrityError as refusal:
        if once and (sent := Writing.objects.filter(once=once, by=by).first()):
            raise AlreadyWritten(sent) from refusal
        raise


def _says(writing: Writing, concern: Concern, households: Iterable[Household]) -> list[Say]:
    lines = tuple(line.strip() for line in writing.text.splitlines() if line.strip())
    answer = f"{how_to_answer(writing.by)} Mail to this address reaches nobody."
    return [
        Say(
            key=f"household:{household.pk}",
            kind=WRITTEN.code,
            to=household,
            at=writing.at,
            title=writing.title,
            to_do=f"From {writing.by}, about {concern.title}.",
            details=(*lines, answer),
            path=concern.path,
            button=f"See {concern.title}",
        )
        for household in households
    ]
