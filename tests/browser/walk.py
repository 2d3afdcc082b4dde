"""Every page of a co-op, from the URL configuration itself, filled in from what the demo has."""

from collections.abc import Iterator
from typing import Any

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
from coop.money.models import Entry, Payment, SquareUp
from coop.people.actions.invitations import Guest, invite
from coop.people.invitations import token_of
from coop.people.models import Coop, Household, Invitation, Member
from tests.web.test_every_address import Address, addresses

#: Addresses that need a key from a letter.
NEEDS_A_LETTER = ("<key>", "<uidb36>")


def paths(place: str, coop: Coop) -> Iterator[str]:
    """The addresses of a place of the site, whatever they answer."""
    values = _of_stage(coop, place.partition(":")[2]) if ":" in place else _of_coop(coop)
    for address in addresses():
        is_here = _place_of(address) == place.partition(":")[0]
        if is_here and all(values.get(name) for name in address.parameters):
            yield address.path(values)


def _place_of(address: Address) -> str:
    """The part of the site that an address belongs to."""
    if any(name in address.route for name in NEEDS_A_LETTER):
        return "letters"
    if "coop" not in address.parameters:
        return "account"
    if "buy_id" in address.parameters:
        return "buy"
    return "money" if "/money/" in address.route else "people"


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
