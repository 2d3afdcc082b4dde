"""A co-op with one of each thing, so that every address of the site has something to show."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import Model

from coop.buying.models import Ask, Buy, Charge, Release, Share, Spare, SpareClaim, Supply
from coop.core.lot_codes import code_of
from coop.equipment.models import Care, Photo, Told
from coop.money.actions.entries import Flow, post_entry
from coop.money.models import Entry, Payment, SquareUp
from coop.notices.actions.feeds import renew_feed
from coop.people.invitations import token_of
from coop.people.models import Member
from tests.web import (
    buy_factories,
    equipment_factories,
    factories,
    kitchen_factories,
    notice_factories,
)

#: Stages at which a buy's own pages are asked for; a divided buy has the most to show.
MAKERS = {
    Buy.Stage.ASKING: buy_factories.make_buy,
    Buy.Stage.CALLED_IN: buy_factories.make_called_in_buy,
    Buy.Stage.COLLECTED: buy_factories.make_collected_buy,
    Buy.Stage.DIVIDED: buy_factories.make_divided_buy,
}


def buy_examples(coordinator: Member, stage: Buy.Stage) -> dict[str, Any]:
    """Ids of a buy at a stage, with its line, supply and ask."""
    buy = MAKERS[stage](coordinator=coordinator)
    line = buy_factories.the_line(buy)
    if stage == Buy.Stage.ASKING:
        buy_factories.make_ask(line, coordinator.household)
    ask = Ask.objects.filter(line=line).earliest("id")
    supply = buy_factories.the_supply(buy)
    named = {"buy_id": buy, "line_id": line, "supply_id": supply, "ask_id": ask}
    return {name: thing.pk for name, thing in named.items()}


def examples(coordinator: Member, member: Member) -> dict[str, Any]:
    """One value for each parameter that an address of the site takes, all of one co-op."""
    buying = buy_examples(coordinator, Buy.Stage.DIVIDED)
    buy = Buy.objects.get(pk=buying["buy_id"])
    things: Mapping[str, Model] = {
        "household_id": member.household,
        "member_id": member,
        **_spare_things(buy, member),
        **_money_things(coordinator, member, buy),
        **_shared_things(coordinator, member),
    }
    supply = Supply.objects.get(pk=buying["supply_id"])
    jars = _jar_things(coordinator, member, supply)
    invitation = factories.make_invitation(coordinator, household=member.household)
    return {
        **{name: thing.pk for name, thing in {**things, **jars}.items()},
        **buying,
        "farm_id": supply.farm_id,
        "offer_id": supply.offer_id,
        "invitation_id": invitation.pk,
        "coop": coordinator.coop.slug,
        **_told_things(coordinator, member, buy),
        "code": code_of(jars["lot_id"].number),
        "name": "process_times",
        "token": token_of(invitation),
        "secret": renew_feed(by=member),
        "key": "x",
        "uidb36": "x",
    }


def _told_things(coordinator: Member, member: Member, buy: Buy) -> dict[str, Any]:
    """A letter about a buy, a mail that was refused, and a notice."""
    notice_factories.know_the_kinds()
    letter = notice_factories.make_writing(coordinator, about=f"buy:{buy.pk}")
    mail = notice_factories.make_mail(member, notices=0, refused_at=factories.NOW)
    return {
        "circle": "buy",
        "circle_id": buy.pk,
        "writing_id": letter.pk,
        "mail_id": mail.pk,
        "notice_id": notice_factories.make_notice(member).pk,
    }


def _spare_things(buy: Buy, member: Member) -> dict[str, Model]:
    division = buy_factories.the_line(buy).divisions.get()
    spare = Spare.objects.create(division=division, amount=20)
    claim = SpareClaim.objects.create(spare=spare, household=member.household, amount=5, by=member)
    ask = Ask.objects.filter(line__buy=buy).earliest("id")
    release = Release.objects.create(ask=ask, amount=10, offered_by=member)
    share = Share.objects.filter(division=division).earliest("id")
    return {"spare_id": spare, "claim_id": claim, "release_id": release, "share_id": share}


def _money_things(coordinator: Member, member: Member, buy: Buy) -> dict[str, Model]:
    coop, household = coordinator.coop, member.household.account
    flows = [Flow(buy.account, household, 500)]
    entry = post_entry(coop, Entry.Kind.COST, flows, title="Fuel", by=coordinator)
    charge = Charge.objects.create(
        buy=buy, what=Charge.What.FUEL, title="Fuel", cents=500, basis="equally", entry=entry
    )
    round_ = SquareUp.objects.create(coop=coop, made_by=coordinator, proven_fewest=True)
    payment = Payment.objects.create(
        square_up=round_, payer=household, payee=coordinator.household.account, cents=500
    )
    return {
        "entry_id": entry,
        "charge_id": charge,
        "square_up_id": round_,
        "payment_id": payment,
        "account_id": household,
    }


def _shared_things(coordinator: Member, member: Member) -> dict[str, Model]:
    """A canner that is out with one household, has something to see to, and has others in line."""
    thing = equipment_factories.make_dial_canner(member.coop)
    booking = equipment_factories.make_booking(thing, member.household)
    equipment_factories.make_out(booking)
    told = Told.objects.create(
        coop=thing.coop,
        household=member.household,
        what=Told.What.CHANGED,
        thing=thing,
        booking=booking,
        sentence="Moved to Thursday.",
    )
    photo = Photo.objects.create(thing=thing, jpeg=b"\xff\xd8\xff", width=1, height=1, by=member)
    return {
        "thing_id": thing,
        "booking_id": booking,
        "standby_id": equipment_factories.make_standby(thing, coordinator.household),
        "fault_id": equipment_factories.make_fault(thing, stops="handover"),
        "care_id": Care.objects.create(thing=thing, what="gasket", every_months=12),
        "told_id": told,
        "photo_id": photo,
        "test_id": equipment_factories.make_gauge_test(thing, tested_on=date(2025, 1, 1)),
    }


def _jar_things(coordinator: Member, member: Member, supply: Supply) -> dict[str, Any]:
    """From a loan and a plan to a lot with one jar that did not seal, and a warning about it."""
    ours, theirs = member.household, coordinator.household
    kitchen = kitchen_factories.make_kitchen(member.coop)
    loan = kitchen_factories.make_loan(theirs, ours, handed_over=True)
    for household in (ours, theirs):
        kitchen_factories.make_home(household)
        kitchen_factories.make_count(household)
    plan = kitchen_factories.make_plan(ours, kitchen=kitchen, farm=supply.farm)
    use = kitchen_factories.make_use(plan)
    load = kitchen_factories.make_load(by=member, kitchen=kitchen)
    lot = kitchen_factories.make_lot(ours, load=load, use=use, farm=supply.farm, sealed=6)
    return {
        "kitchen_id": kitchen,
        "loan_id": loan,
        "plan_id": plan,
        "use_id": use,
        "load_id": load,
        "lot_id": lot,
        "taken_id": kitchen_factories.make_taken(lot),
        "warning_id": kitchen_factories.make_warning(lot),
    }
