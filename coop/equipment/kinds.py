"""What kinds of things are shared, and what matters for each.

Turnarounds, parts and care stand here as proposals for a new thing; whoever keeps the thing changes
them. They are common practice, no source, unless a comment says otherwise; the maker's book wins.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db.models import TextChoices


class ThingKind(TextChoices):
    """The kinds, in the order that a list shows them."""

    PRESSURE_CANNER = "pressure_canner", "pressure canner"
    WATER_BATH_CANNER = "water_bath_canner", "water-bath canner"
    DEHYDRATOR = "dehydrator", "dehydrator"
    FREEZE_DRYER = "freeze_dryer", "freeze dryer"
    VACUUM_SEALER = "vacuum_sealer", "vacuum sealer"
    PEELER = "peeler", "peeler or pitter"
    MILL = "mill", "food mill or strainer"
    BURNER = "burner", "burner"
    SCALE = "scale", "scale"
    KITCHEN = "kitchen", "kitchen"
    OTHER = "other", "other thing"


class Gauge(TextChoices):
    """How a pressure canner shows its pressure."""

    DIAL = "dial", "dial gauge"
    WEIGHTED = "weighted", "weighted gauge"


class Stove(TextChoices):
    """What a thing may have to keep off, by its maker's word."""

    GAS = "gas", "gas burner"
    COIL = "coil", "electric coil"
    SMOOTH = "smooth", "smooth glass top"
    INDUCTION = "induction", "induction"
    HOTPLATE = "hotplate", "portable hotplate"
    OUTDOOR = "outdoor", "outdoor gas burner"


@dataclass(frozen=True)
class CareProposal:
    """Something to look after, by uses or by months; either may be None."""

    what: str
    every_uses: int | None = None
    every_months: int | None = None


@dataclass(frozen=True)
class KindFacts:
    """What a kind of thing has, needs and may do harm with.

    `fields` are those of a Thing that matter for the kind; `parts` are (name, how many) that go out
    and come back; `attended`: somebody stays with it while it runs; `ends_by_itself`: the thing
    says when it is done, so a booking has an expected and a latest end; `reading` is what is read
    off it on return, with its unit; `cautions` are topics of the cautions table.
    """

    fields: tuple[str, ...] = ()
    parts: tuple[tuple[str, int], ...] = ()
    care: tuple[CareProposal, ...] = ()
    turnaround_minutes: int = 0
    attended: bool = False
    ends_by_itself: bool = False
    reading: str = ""
    cautions: tuple[str, ...] = ()
    icon: str = field(default="canner")


_CANNER_FIELDS = ("canner_class", "weight_tenths", "btu", "not_on")
_POWER = ("watts", "amps_tenths", "weight_tenths")

KINDS: dict[str, KindFacts] = {
    ThingKind.PRESSURE_CANNER: KindFacts(
        fields=("gauge", *_CANNER_FIELDS),
        parts=(("gasket", 1), ("weight", 1), ("rack", 1), ("lid", 1)),
        care=(CareProposal("gasket", every_months=12),),
        turnaround_minutes=120,
        attended=True,
        reading="The dial with the canner cold and open (psi)",
        cautions=("pressure_canner", "dial_gauge", "burns", "lifting"),
    ),
    ThingKind.WATER_BATH_CANNER: KindFacts(
        fields=_CANNER_FIELDS,
        parts=(("rack", 1), ("lid", 1)),
        turnaround_minutes=60,
        attended=True,
        cautions=("boiling_water", "burns", "lifting"),
        icon="pot",
    ),
    ThingKind.DEHYDRATOR: KindFacts(
        fields=("trays", *_POWER),
        parts=(("tray", 0),),
        turnaround_minutes=60,
        cautions=("drying", "circuits"),
        icon="trays",
    ),
    # Defrosting takes 2 hours heated, about 6 by itself; oil is changed by some with every load:
    # Lending practice and cycles in the trade notes, section 4.
    ThingKind.FREEZE_DRYER: KindFacts(
        fields=("trays", *_POWER),
        parts=(("tray", 0), ("bottle of pump oil", 1), ("drain hose", 1)),
        care=(CareProposal("pump oil", every_uses=1), CareProposal("door gasket", every_uses=1)),
        turnaround_minutes=360,
        ends_by_itself=True,
        reading="Hours on its meter",
        cautions=("circuits", "lifting", "allergens"),
        icon="frost",
    ),
    ThingKind.VACUUM_SEALER: KindFacts(
        fields=_POWER,
        parts=(("power cord", 1),),
        turnaround_minutes=15,
        cautions=("circuits",),
        icon="sealer",
    ),
    ThingKind.PEELER: KindFacts(
        parts=(("crank", 1), ("clamp", 1)), turnaround_minutes=30, icon="crank"
    ),
    ThingKind.MILL: KindFacts(
        fields=_POWER,
        parts=(("screen", 1), ("auger", 1), ("clamp", 1)),
        turnaround_minutes=60,
        icon="crank",
    ),
    ThingKind.BURNER: KindFacts(
        fields=("btu", "watts", "amps_tenths", "weight_tenths"),
        parts=(("hose and regulator", 1),),
        turnaround_minutes=30,
        attended=True,
        cautions=("carbon_monoxide", "burns"),
        icon="flame",
    ),
    ThingKind.SCALE: KindFacts(
        fields=("weight_tenths",),
        parts=(("pan", 1),),
        reading="What it shows empty (lb)",
        icon="scale",
    ),
    # Clean-up lies inside the hired time, so a kitchen has no turnaround of its own.
    ThingKind.KITCHEN: KindFacts(
        attended=True,
        cautions=("burns", "carbon_monoxide", "circuits", "allergens"),
        icon="kitchen",
    ),
    ThingKind.OTHER: KindFacts(fields=_POWER, turnaround_minutes=30, icon="tool"),
}

#: A freeze dryer's cycle runs 16 to 40 hours (trade notes, section 4): proposed for a booking.
CYCLE_EXPECTED_HOURS, CYCLE_LATEST_HOURS = 28, 40
