"""Putting things on the list, and changing what is known of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from django.db import IntegrityError
from django.utils import timezone

from coop.core.figures import join_words
from coop.equipment.actions.locks import lock_thing
from coop.equipment.actions.openings import offer_openings
from coop.equipment.errors import NameTaken, Refused
from coop.equipment.kinds import KINDS, CareProposal, Gauge, Stove, ThingKind
from coop.equipment.models import Care, Fault, Part, Thing
from coop.equipment.notices.touched import one_act, touch_thing, touch_whole_thing
from coop.equipment.queries.costs import deposits_waiting
from coop.equipment.queries.faults import ONLY_A_TEST_LIFTS
from coop.equipment.queries.handovers import who_has_it
from coop.equipment.queries.jars_held import TOO_SMALL, classes_of, too_small_said
from coop.equipment.rights import can_add_things, is_steward, require_keep
from coop.people.changes import record_change
from coop.people.models import Household, Member
from coop.people.rights import require

TRAY = "tray"


@dataclass(frozen=True)
class ThingTerms:
    """What is known of a thing, as the columns of Thing: tenths of a pound and of an ampere, cents.

    What does not matter for its kind (KINDS[kind].fields) is dropped.
    """

    name: str
    home: str = ""
    gauge: str = ""
    canner_class: str = ""
    trays: int | None = None
    watts: int | None = None
    amps_tenths: int | None = None
    weight_tenths: int | None = None
    btu: int | None = None
    not_on: tuple[str, ...] = ()
    turnaround_minutes: int = 0
    longest_minutes: int | None = None
    deposit_cents: int = 0
    fee_cents: int = 0
    fee_per: str = Thing.FeePer.USE
    use_note: str = ""
    cleaning_note: str = ""


#: The columns that only some kinds have, and what they hold for the others.
OF_SOME_KINDS: Mapping[str, Any] = {
    "gauge": "",
    "canner_class": "",
    "trays": None,
    "watts": None,
    "amps_tenths": None,
    "weight_tenths": None,
    "btu": None,
    "not_on": (),
}


def create_thing(
    kind: str,
    terms: ThingTerms,
    *,
    by: Member,
    owner: Household | None,
    parts: Mapping[str, int] | None = None,
    cares: Iterable[CareProposal] | None = None,
) -> Thing:
    """Put a thing on the list: the co-op's, or of the household `owner`.

    `parts` (name to count) and `cares` are what goes with it; left out, what its kind proposes.
    Raises NotAllowed, NameTaken, and Refused with the field that is wrong.
    """
    _require_owner(by, owner)
    values = _columns(kind, terms)
    parts = parts_proposed(kind, terms.trays) if parts is None else parts
    cares = KINDS[kind].care if cares is None else cares

    def make() -> Thing:
        thing = Thing.objects.create(coop=by.coop, kind=kind, owner=owner, by=by, **values)
        Part.objects.bulk_create(
            Part(thing=thing, name=name, count=count) for name, count in parts.items()
        )
        Care.objects.bulk_create(Care(thing=thing, **asdict(care)) for care in cares)
        touch_thing(thing)
        record_change(thing, "Put on the list.", coop=by.coop, by=by, after=_plain(values))
        return thing

    return with_its_own_name(make)


def edit_thing(thing_id: int, terms: ThingTerms, *, by: Member, owner: Household | None) -> Thing:
    """Change what is known of a thing, and whose it is. Its kind stays.

    Bookings that stand keep their turnaround. While somebody has it, its terms of money and its
    owner stay; while a gauge waits for its test, so does the kind of gauge. Raises NotAllowed,
    NameTaken, Refused.
    """

    def change() -> Thing:
        thing = lock_thing(by.coop, thing_id)
        require_keep(by, thing)
        if owner != thing.owner:
            _require_owner(by, owner)
        values = _columns(thing.kind, terms) | {"owner": owner}
        before = {name: getattr(thing, name) for name in values}
        changed = [name for name, value in values.items() if _other(before[name], value)]
        if not changed:
            return thing
        _require_may_change(thing, changed)
        for name in changed:
            setattr(thing, name, values[name])
        thing.save(update_fields=changed)
        touch_whole_thing(thing)
        record_change(
            thing,
            f"Changed: {join_words(map(_titled, changed))}.",
            coop=by.coop,
            by=by,
            before=_plain({name: before[name] for name in changed}),
            after=_plain({name: values[name] for name in changed}),
        )
        # A shorter turnaround, or a longer loan, may let somebody in line have it.
        offer_openings(thing, timezone.now())
        return thing

    return with_its_own_name(change)


def parts_proposed(kind: str, trays: int | None = None) -> dict[str, int]:
    """The parts that a kind proposes; of its trays as many as it has, none where nobody said."""
    proposed = {name: count or trays or 0 for name, count in KINDS[kind].parts}
    return {name: count for name, count in proposed.items() if count}


def with_its_own_name(act: Callable[[], Thing]) -> Thing:
    """Do an act in a transaction. Raises NameTaken where its thing's name is another's."""
    try:
        with one_act():
            return act()
    except IntegrityError as refusal:
        # PostgreSQL names the index; SQLite names it too, for an index of expressions.
        if "thing_name_once_in_a_coop" in str(refusal):
            raise NameTaken(
                "A thing of that name is on the list. Give this one another, like Canner 2.",
                field="name",
            ) from refusal
        raise


def _require_owner(by: Member, owner: Household | None) -> None:
    require(
        can_add_things(by) and (is_steward(by) or owner == by.household),
        "What belongs to the co-op or to another household is put on the list by a steward or a "
        "coordinator. Ask one of them.",
    )
    if owner and (owner.coop_id != by.coop_id or owner.left_at):
        raise Refused(f"{owner} is no household of the co-op any more.", field="owner")


#: What is settled when a thing comes back, as it was agreed when it went out.
TERMS = ("owner", "fee_cents", "fee_per", "deposit_cents")


def _require_may_change(thing: Thing, changed: Sequence[str]) -> None:
    """Raise Refused where something hangs on what would be changed."""
    terms = [name for name in TERMS if name in changed]
    if terms and (with_whom := who_has_it(thing)):
        raise Refused(
            f"{with_whom.household} has it now: change this once it is back.", field=terms[0]
        )
    if "owner" in changed and any(
        each.thing_id == thing.pk for each in deposits_waiting(thing.coop)
    ):
        raise Refused("A deposit for it is not settled yet: see to that first.", field="owner")
    if "gauge" in changed and Fault.objects.filter(
        thing=thing, mended_at=None, what__in=ONLY_A_TEST_LIFTS
    ):
        raise Refused(
            "Its dial gauge waits for a test. Write that down first, or that a new one was fitted.",
            field="gauge",
        )


def _columns(kind: str, terms: ThingTerms) -> dict[str, Any]:
    """What goes into the columns, with what the kind does not have left empty."""
    if kind not in ThingKind.values:
        raise Refused("Choose what kind of thing it is.", field="kind")
    matter = KINDS[kind].fields
    values = asdict(terms) | {
        name: empty for name, empty in OF_SOME_KINDS.items() if name not in matter
    }
    _require_known(kind, values)
    if kind == ThingKind.PRESSURE_CANNER and not values["gauge"]:
        raise Refused("Say which gauge it has: a dial must be tested each year.", field="gauge")
    if not values["name"].strip():
        raise Refused("Give it a name.", field="name")
    return values | {"name": values["name"].strip(), "not_on": list(values["not_on"])}


def _require_known(kind: str, values: Mapping[str, Any]) -> None:
    """Raise Refused for a word that its column does not have."""
    if values["canner_class"] == TOO_SMALL:
        raise Refused(
            f"{too_small_said()} It can be lent as another kind of thing.", field="canner_class"
        )
    known = {
        "gauge": ["", *Gauge.values],
        "canner_class": ["", *(each.key for each in classes_of(kind))],
        "fee_per": Thing.FeePer.values,
    }
    for name, words in known.items():
        if values[name] not in words:
            raise Refused("Choose one of those that are offered.", field=name)
    if not set(values["not_on"]) <= set(Stove.values):
        raise Refused("Choose among those that are offered.", field="not_on")


def _titled(column: str) -> str:
    """A column as a member reads it in the history."""
    return TITLES.get(column, column.replace("_", " "))


TITLES = {
    "canner_class": "size of canner",
    "amps_tenths": "amps",
    "weight_tenths": "weight",
    "btu": "BTU",
    "not_on": "stoves it must not stand on",
    "turnaround_minutes": "turnaround",
    "longest_minutes": "longest loan",
    "deposit_cents": "deposit",
    "fee_cents": "fee",
    "fee_per": "what the fee is for",
    "use_note": "how to use it",
    "cleaning_note": "how to clean it",
    "owner": "whose it is",
}


def _other(before: Any, after: Any) -> bool:
    return bool(list(before) != list(after) if isinstance(before, list) else before != after)


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as JSON keeps them: a household by its name."""
    return {
        name: str(value) if isinstance(value, Household) else value
        for name, value in values.items()
    }
