"""What a buy costs: the page of all costs, charging produce, sharing any other cost."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import charges, costs
from coop.buying.errors import Refused
from coop.buying.forms.costs import CostForm
from coop.buying.models import Buy
from coop.buying.queries.bases import SharedCost, trip_words
from coop.buying.queries.buys import buy_for
from coop.buying.queries.costs import costs_of
from coop.buying.queries.line_costs import claims_to_charge
from coop.buying.queries.produce_costs import digest_of_lots, lots_to_charge
from coop.core.figures import counted, money
from coop.money.rights import can_see_books
from coop.money.views.acts import entered
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.pages import refused
from coop.web.refusals import saved


@require_GET
def all_costs(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Bills, charges, payments, and what each household comes to."""
    buy = buy_for(request.member, buy_id)
    may_charge = rights.can_charge(request.member, buy)
    is_divided = buy.stage == Buy.Stage.DIVIDED
    context = {
        "buy": buy,
        "costs": costs_of(buy),
        "may_charge": may_charge,
        "can_charge_produce": may_charge and is_divided,
        "can_add": may_charge and buy.stage in {Buy.Stage.DIVIDED, Buy.Stage.SQUARED},
        "can_fee": may_charge
        and buy.stage in {Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED, Buy.Stage.DIVIDED},
        "can_pay_farm": may_charge and buy.stage not in {Buy.Stage.ASKING, Buy.Stage.CALLED_OFF},
        "can_carry": request.member.treasurer and is_divided,
        "sees_books": can_see_books(request.member),
    }
    return render(request, "buying/costs/costs.html", context)


@require_http_methods(["GET", "POST"])
def charge_produce(request: CoopRequest, buy_id: int) -> HttpResponse:
    """What each household will owe for its produce; then the charge itself."""
    buy = buy_for(request.member, buy_id)
    rights.require(rights.can_charge(request.member, buy), rights.CHARGES_ARE_KEPT)
    if request.method == "POST":
        made = charges.charge_produce(buy, by=request.member, seen=request.POST.get("seen", ""))
        total = money(sum(charge.cents for charge in made), request.coop.currency)
        messages.success(request, f"Charged: {total}. Each household sees its part.")
        return redirect("buying:costs", request.coop.slug, buy.pk)
    return render(request, "buying/costs/produce.html", _produce(buy))


def _produce(buy: Buy) -> dict[str, Any]:
    try:
        lots = lots_to_charge(buy)
    except Refused as refusal:
        return {"buy": buy, "refusal": refusal.sentence}
    ids = {household for lot in lots for household in lot.cents_by_household}
    names = Household.objects.in_bulk(list(ids))
    tables = [
        {
            "lot": lot,
            "rows": sorted(
                (
                    (names[household], lot.got.get(household, 0), cents)
                    for household, cents in lot.cents_by_household.items()
                ),
                key=lambda row: (row[0].name, row[0].pk),
            ),
        }
        for lot in lots
    ]
    return {
        "buy": buy,
        "tables": tables,
        "claims": claims_to_charge(buy),
        "seen": digest_of_lots(lots),
        "is_divided": buy.stage == Buy.Stage.DIVIDED,
        "total_cents": sum(lot.bill_cents for lot in lots),
    }


@require_http_methods(["GET", "POST"])
def add_charge(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Share a cost among who got something, after a look at what each pays."""
    buy = _to_charge(request, buy_id)
    if request.method == "GET":
        form = CostForm(buy=buy, initial={"cents": _trips_cents(buy)})
        return render(request, "buying/costs/add.html", _cost_context(buy, form))
    form = CostForm(request.POST, buy=buy)
    said = "Charged. Each household sees its part."

    def act() -> None:
        costs.add_charge(
            buy,
            form.cost(),
            by=request.member,
            seen=form.cleaned_data["seen"],
            once=form.number,
        )

    if entered(request, form, act, said=said):
        return redirect("buying:costs", request.coop.slug, buy.pk)
    return refused(request, "buying/costs/add.html", _cost_context(buy, form))


@require_POST
def preview_charge(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Show what each would pay. It changes nothing, and what was typed stays in the form."""
    buy = _to_charge(request, buy_id)
    form = CostForm(request.POST, buy=buy)
    shown: list[SharedCost] = []
    if saved(form, lambda: shown.append(costs.preview_cost(buy, form.cost()))):
        context = _cost_context(buy, form, shown[0])
        return render(request, "buying/costs/add.html", context)
    return refused(request, "buying/costs/add.html", _cost_context(buy, form))


def _to_charge(request: CoopRequest, buy_id: int) -> Buy:
    buy = buy_for(request.member, buy_id)
    rights.require(rights.can_charge(request.member, buy), rights.CHARGES_ARE_KEPT)
    return buy


def _cost_context(buy: Buy, form: CostForm, shown: SharedCost | None = None) -> dict[str, Any]:
    context: dict[str, Any] = {"buy": buy, "form": form, "trips": trip_words(buy)}
    if shown:
        names = Household.objects.in_bulk(list(shown.cents_by_household))
        rows = sorted(
            ((names[pk], cents) for pk, cents in shown.cents_by_household.items()),
            key=lambda row: (row[0].name, row[0].pk),
        )
        context |= {"shown": shown, "rows": rows, "seen": costs.digest_of_cost(shown)}
    return context


def _trips_cents(buy: Buy) -> int | None:
    """What the trips cost by the co-op's rate, as a first figure."""
    return sum(cents for _, _, cents in trip_words(buy)) or None


@require_http_methods(["GET", "POST"])
def carry_unclaimed(request: CoopRequest, buy_id: int) -> HttpResponse:
    """The till bears what nobody claimed."""
    buy = buy_for(request.member, buy_id)
    rights.require(request.member.treasurer, "Only the treasurer decides what the till carries.")
    if request.method == "POST":
        made = charges.carry_unclaimed(buy, by=request.member)
        messages.success(request, f"The till carries it: {counted(len(made), 'line')}.")
        return redirect("buying:costs", request.coop.slug, buy.pk)
    on_table = money(costs_of(buy).on_table_cents, request.coop.currency)
    context = {
        "question": "Let the till carry what nobody claimed?",
        "text": f"{on_table} of the farms' bill is for a surplus that nobody asked for. The till "
        "bears it, so that the buy can be squared up. Who claims some of it later owes it to the "
        "till.",
        "label": "The till carries it",
        "back_url": reverse("buying:costs", args=[request.coop.slug, buy.pk]),
    }
    return render(request, "pages/confirm.html", context)
