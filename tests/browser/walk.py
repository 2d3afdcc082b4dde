"""Every page of a co-op, from the URL configuration itself, filled in from what the demo has."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from django.utils import timezone

from coop.buying.models import (
    Ask,
    Buy,
    Charge,
    Farm,
    Line,
    Offer,
    Release,
    Spare,
    Supply,
)
from coop.core.lot_codes import code_of
from coop.equipment.models import Booking, Care, Fault, Standby, Thing, Told
from coop.jars.models import Loan
from coop.kitchen.models import JarWarning, Kitchen, Lot, Taken, Use, Way
from coop.money.models import Entry, Payment, SquareUp
from coop.notices.actions.feeds import renew_feed
from coop.notices.mailing.stopping import token_of as stop_token_of
from coop.notices.models import Matter, Writing
from coop.people.actions.invitations import Guest, invite
from coop.people.invitations import token_of
from coop.people.models import Coop, Household, Invitation, Member
from tests.web.test_every_address import Address, addresses

#: Addresses that need a key from a letter.
NEEDS_A_LETTER = ("<key>", "<uidb36>")

CORN = "product=whole_kernel&pack=hot&method=dial_gauge&jar=quart&option=1"
NEXT_WEEK = "{next_week:%Y-%m-%d}"
ASKED = {
    "jars:open": (
        "jars/spare/?kind=quart_regular&within=30",
        "jars/spare/?kind=half_gallon_regular",
    ),
    "equipment": (
        f"equipment/?view=week&day={NEXT_WEEK}",
        "equipment/?kind=pressure_canner",
        "equipment/find/?kind=pressure_canner&gauge=dial&minutes=180&hours=evening",
        "equipment/find/?kind=freeze_dryer&minutes=10080",
        f"equipment/book/?thing={{thing_id}}&start={NEXT_WEEK}T09:00&end={NEXT_WEEK}T12:00",
        f"equipment/bookings/{{booking_id}}/move/?start={NEXT_WEEK}T09:00&end={NEXT_WEEK}T12:00",
        "equipment/bookings/?all=1",
        "equipment/bookings/?all=1&past=1",
        "equipment/things/?kind=pressure_canner",
        "equipment/things/?q=nowhere",
        "equipment/things/new/?kind=pressure_canner",
        "equipment/things/new/?kind=freeze_dryer",
        "equipment/standby/new/?thing={thing_id}",
        "equipment/things/{dial}/",
        "equipment/things/{dial}/gauge/",
        "equipment/things/{at_home}/",
        "equipment/things/{at_home}/handover/",
        "equipment/things/{at_home}/take/",
        "equipment/things/{at_home}/sheet/",
        "equipment/things/{late}/",
        "equipment/things/{late}/handover/",
        "equipment/bookings/{offered}/",
        "equipment/bookings/{damaged}/",
        "equipment/bookings/{damaged}/deposit/",
    ),
    "notices": ("notices/about/{circle}/{circle_id}/?of={told}",),
    "kitchen:open": (
        "plans/{plan_id}/uses/add/?way=can&product=juice&pack=hot&method=boiling_water&jar=quart",
        "plans/{plan_id}/uses/add/?way=freeze&product=juice&jar=pint",
        "loads/new/?use={use_id}",
        "lots/labels/?lot={lot_id}",
        f"tables/find/?produce=sweet_corn&{CORN}&altitude_ft=4680",
        f"tables/find/?produce=snap_beans&{CORN}&altitude_ft=4680",
        f"tables/find/?produce=sweet_corn&{CORN}&altitude_ft=9000",
        "tables/?q=corn",
        "tables/process_times/?q=half-gallon",
        "reckon/?produce=sweet_corn&product=whole_kernel&quart=21&pint=14",
        "trace/?code=12",
    ),
}  # fmt: skip


def paths(place: str, coop: Coop) -> Iterator[str]:
    """The addresses of a place of the site, whatever they answer."""
    kind, _, stage = place.partition(":")
    values = _values(kind, stage, coop)
    own = set(_still_open(coop)) if stage == "open" else set()
    for address in addresses():
        # What names nothing that is open answers as in the other walk.
        if own and own.isdisjoint(address.parameters):
            continue
        if _place_of(address) == kind and all(values.get(name) for name in address.parameters):
            yield address.path(values)


def asked(place: str, coop: Coop) -> Iterator[str]:
    """Addresses of a place that say more when something is asked of them."""
    kind, _, stage = place.partition(":")
    values = _values(kind, stage, coop)
    if kind == "equipment":
        values |= _of_states(coop)
    for path in ASKED.get(place, ()):
        yield "/{coop}/".format(**values) + path.format(**values)


def _values(kind: str, stage: str, coop: Coop) -> dict[str, Any]:
    if kind == "buy":
        return _of_stage(coop, stage)
    if kind == "notices":
        return _of_coop(coop) | _told(coop)
    if kind in {"jars", "kitchen", "equipment"}:
        return _of_coop(coop) | (_still_open(coop) if stage == "open" else _done(coop))
    return _of_coop(coop)


def _place_of(address: Address) -> str:
    """The part of the site that an address belongs to."""
    if any(name in address.route for name in NEEDS_A_LETTER):
        return "letters"
    if address.pattern.callback.__module__.startswith("coop.notices."):
        return "notices"
    if "coop" not in address.parameters:
        return "account"
    if "buy_id" in address.parameters:
        return "buy"
    for app in ("jars", "kitchen", "equipment"):
        if address.pattern.callback.__module__.startswith(f"coop.{app}."):
            return app
    return "money" if "/money/" in address.route else "people"


def _done(coop: Coop) -> dict[str, Any]:
    """Jars that came back in part, produce that was put up, a load that nobody should eat from."""
    warning = JarWarning.objects.get(coop=coop)
    taken = Taken.objects.filter(lot__coop=coop).earliest("pk")
    use = Use.objects.filter(plan__coop=coop, outcome__isnull=False, way=Way.FREEZE).earliest("pk")
    failed = Lot.objects.filter(coop=coop, fates__isnull=False).latest("pk")
    return {
        "loan_id": _first(Loan.objects.filter(coop=coop, moves__what="returned").order_by("-pk")),
        "plan_id": use.plan_id,
        "use_id": use.pk,
        "load_id": warning.load_id,
        "lot_id": failed.pk,
        "code": code_of(failed.number),
        "taken_id": taken.pk,
        "warning_id": warning.pk,
        "supply_id": _first(Supply.objects.filter(farm__lots=failed)),
        "kitchen_id": _first(Kitchen.objects.filter(coop=coop)),
        "name": "process_times",
        "household_id": _somebody_with_spares(coop),
        **_running(coop),
    }


def _still_open(coop: Coop) -> dict[str, Any]:
    """Jars that were asked for, produce to be put up, seals to be tried."""
    use = Use.objects.filter(plan__coop=coop, outcome__isnull=True).exclude(acid="").earliest("pk")
    lot = Lot.objects.get(coop=coop, way=Way.CAN, seal_check__isnull=True)
    return {
        "loan_id": _first(Loan.objects.filter(coop=coop, agreed_at=None)),
        "plan_id": use.plan_id,
        "use_id": use.pk,
        "load_id": lot.load_id,
        "lot_id": lot.pk,
        "code": code_of(lot.number),
        "name": "cautions",
        **_in_question(coop),
    }


def _told(coop: Coop) -> dict[str, Any]:
    """A buy that was written about, what was told of it, and the private addresses of a member."""
    writing = Writing.objects.get(coop=coop)
    circle, _, pk = writing.about.partition(":")
    member = Member.objects.filter(coop=coop, coordinator=True).earliest("pk")
    renew_feed(by=member)
    return {
        "circle": circle,
        "circle_id": pk,
        "writing_id": writing.pk,
        "token": stop_token_of(member, ["buy_closes", "buy_pickup"]),
        "told": _first(Matter.objects.filter(about=f"writing:{writing.pk}")),
    }


def _running(coop: Coop) -> dict[str, Any]:
    """A freeze dryer that runs, and what else is written of it."""
    booking = Booking.objects.get(coop=coop, expected_at__gt=timezone.now(), handovers__what="out")
    return {
        "thing_id": booking.thing_id,
        "booking_id": booking.pk,
        "care_id": _first(Care.objects.filter(thing=booking.thing_id)),
        "standby_id": _first(Standby.objects.filter(coop=coop, kind=booking.thing.kind)),
    }


def _of_states(coop: Coop) -> dict[str, Any]:
    """Things at home, late and tested in time; what is offered, and what came back damaged."""
    bookings, things = Booking.objects.filter(coop=coop), Thing.objects.filter(coop=coop)
    return {
        "next_week": timezone.localdate() + timedelta(days=7),
        "at_home": _first(things.filter(kind="water_bath_canner")),
        "dial": _first(things.filter(gauge="dial", faults=None)),
        "late": _first(things.filter(told__what=Told.What.LATE)),
        "offered": _first(bookings.filter(held_until__isnull=False, cancelled_at=None)),
        "damaged": _first(bookings.filter(handovers__condition="damaged")),
    }


def _in_question(coop: Coop) -> dict[str, Any]:
    """A booking that was moved and is not answered, a canner out of order by its gauge."""
    fault = Fault.objects.get(thing__coop=coop, what=Fault.What.GAUGE_OFF, mended_at=None)
    booking = Booking.objects.get(coop=coop, shifted_at__isnull=False, shift_answered_at=None)
    return {
        "thing_id": fault.thing_id,
        "fault_id": fault.pk,
        "booking_id": booking.pk,
        "care_id": _first(Care.objects.filter(thing=fault.thing_id)),
        "told_id": _first(Told.objects.filter(coop=coop, read_at=None)),
    }


def _somebody_with_spares(coop: Coop) -> int | None:
    """A household that can be asked for jars, and is not that of who walks."""
    coordinators = Member.objects.filter(coop=coop, coordinator=True).values("household")
    lending = Household.objects.filter(coop=coop, jar_counts__jars__spare__gt=0)
    return _first(lending.exclude(pk__in=coordinators).order_by("pk"))


def _of_stage(coop: Coop, stage: str) -> dict[str, Any]:
    """Of the latest buy at a stage."""
    buy = Buy.objects.filter(coop=coop, stage=stage).latest("pk")
    line = Line.objects.filter(buy=buy).first()
    return {
        "coop": coop.slug,
        "buy_id": buy.pk,
        "line_id": line and line.pk,
        "supply_id": _first(Supply.objects.filter(line__buy=buy)),
        "ask_id": _first(Ask.objects.filter(line__buy=buy)),
        "release_id": _first(Release.objects.filter(ask__line__buy=buy)),
        "charge_id": _first(Charge.objects.filter(buy=buy)),
        "household_id": _first(Household.objects.filter(coop=coop)),
        "farm_id": _first(Farm.objects.filter(supplies__line__buy=buy)),
    }


def _of_coop(coop: Coop) -> dict[str, Any]:
    coordinator = Member.objects.filter(coop=coop, coordinator=True).earliest("pk")
    invitation = Invitation.objects.filter(accepted_at__isnull=True).first()
    invitation = invitation or invite(
        Guest("sam.fenn@example.test", household_name="Fenn"), by=coordinator
    )
    return {
        "coop": coop.slug,
        "household_id": _first(Household.objects.filter(coop=coop)),
        "member_id": _first(Member.objects.filter(coop=coop)),
        "farm_id": _first(Farm.objects.filter(coop=coop)),
        "offer_id": _first(Offer.objects.filter(farm=Farm.objects.filter(coop=coop).first())),
        "spare_id": _first(Spare.objects.filter(division__line__buy__coop=coop)),
        "entry_id": _first(Entry.objects.filter(coop=coop)),
        "square_up_id": _first(SquareUp.objects.filter(coop=coop)),
        "payment_id": _first(Payment.objects.filter(square_up__coop=coop)),
        "invitation_id": invitation.pk,
        "token": token_of(invitation),
    }


def _first(rows: Any) -> int | None:
    """The key of the first row, if there is one."""
    row = rows.first()
    return row and row.pk
