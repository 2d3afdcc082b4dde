"""The demo's households, their members, and the farms that they buy from."""

from __future__ import annotations

from allauth.account.models import EmailAddress
from django.contrib.auth.hashers import make_password

from coop.buying.actions.farms import FarmTerms, OfferTerms, add_farm, add_offer
from coop.buying.demo.script import Row, Script, price_breaks, steps
from coop.people.actions.coops import Settings, start_coop
from coop.people.actions.households import Details, edit_household
from coop.people.actions.invitations import Guest, invite, join
from coop.people.actions.members import set_roles
from coop.people.models import Coop, Member, User

Members = dict[str, Member]


def found_coop(script: Script) -> Members:
    """Start the co-op, and let everybody join as they do: by invitation. Members by address."""
    first, *others = script.households
    coop = script.coop
    settings = Settings(**{name: coop[name] for name in Settings.__dataclass_fields__})
    # All have one password, and hashing takes long on purpose: once is enough.
    hashed = make_password(coop["password"])
    founder = start_coop(
        settings,
        slug=coop["slug"],
        household_name=first["household"],
        by=_user(first, hashed),
    )
    members = {first["email"]: founder}
    for row in others:
        members[row["email"]] = _join(row, hashed, founder)
    for row in script.households:
        edit_household(members[row["email"]].household_id, _details(row), by=members[row["email"]])
    set_roles(founder.pk, first["roles"].split(), by=founder)
    return {
        member.user.email: member
        for member in founder.coop.members.select_related("coop", "household", "user")
    }


def _user(row: Row, hashed: str) -> User:
    user = User.objects.create_user(row["email"], name=row["member"])
    user.password = hashed
    user.save(update_fields=["password"])
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
    return user


def _join(row: Row, hashed: str, founder: Member) -> Member:
    known = founder.coop.households.filter(name=row["household"]).first()
    guest = Guest(
        email=row["email"],
        household=known,
        household_name="" if known else row["household"],
        roles=row["roles"].split(),
    )
    return join(invite(guest, by=founder), by=_user(row, hashed))


def _details(row: Row) -> Details:
    return Details(
        name=row["household"], phone=row["phone"], address=row["address"], note=row["note"]
    )


def list_farms(script: Script, coop: Coop, *, by: Member) -> None:
    """Put the farms and their price lists on the list."""
    farms = {}
    for row in script.farms:
        terms = FarmTerms(
            name=row["farm"],
            contact=row["contact"],
            phone=row["phone"],
            address=row["address"],
            round_trip_miles=int(row["round_trip_miles"]),
            note=row["note"],
        )
        farms[row["farm"]] = add_farm(terms, by=by)
    for row in script.offers:
        add_offer(farms[row["farm"]].pk, _offer(row), by=by)


def _offer(row: Row) -> OfferTerms:
    return OfferTerms(
        produce=row["produce"],
        container=row["container"],
        measure=row["measure"],
        size=steps(row["size"], row["measure"]),
        prices=price_breaks(row["prices"]),
        available=int(row["available"]) if row["available"] else None,
        at_least=int(row["at_least"] or 0),
        note=row["note"],
    )
