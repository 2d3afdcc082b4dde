"""Pages of farms and their price lists."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import farms as acts
from coop.buying.forms.farms import FarmForm, OfferForm
from coop.buying.models import Farm
from coop.buying.queries.farms import farm_for, farms_in, offer_for
from coop.buying.views.acts import refusal_in
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused


@require_GET
def farms(request: CoopRequest) -> HttpResponse:
    """Every farm of the co-op."""
    context = {
        "farms": farms_in(request.coop),
        "can_post": rights.can_post_buys(request.member),
    }
    return render(request, "buying/farms/list.html", context)


@require_GET
def farm(request: CoopRequest, farm_id: int) -> HttpResponse:
    """One farm with its price list."""
    found = farm_for(request.member, farm_id)
    offers = list(found.offers.all())
    context = {
        "farm": found,
        "offers": [offer for offer in offers if offer.retired_at is None],
        "past_offers": [offer for offer in offers if offer.retired_at is not None],
        "can_post": rights.can_post_buys(request.member),
        "history": changes_of(request.coop, found)[:30],
    }
    return render(request, "buying/farms/farm.html", context)


@require_http_methods(["GET", "POST"])
def new_farm(request: CoopRequest) -> HttpResponse:
    """Put a farm on the list."""
    rights.require_post_buys(request.member)
    form = FarmForm(request.POST or None)
    if form.is_valid():
        with refusal_in(form):
            made = acts.add_farm(form.terms(), by=request.member)
            messages.success(request, f"{made.name} is on the list. Now its prices.")
            return redirect("buying:new_offer", request.coop.slug, made.pk)
    return _form(request, "buying/farms/farm_form.html", form, None)


@require_http_methods(["GET", "POST"])
def edit_farm(request: CoopRequest, farm_id: int) -> HttpResponse:
    """Change what is known of a farm."""
    found = farm_for(request.member, farm_id)
    rights.require_post_buys(request.member)
    form = FarmForm(request.POST or None, initial=FarmForm.initial_of(found))
    if form.is_valid():
        with refusal_in(form):
            acts.change_farm(found.pk, form.terms(), by=request.member)
            messages.success(request, "Saved.")
            return redirect("buying:farm", request.coop.slug, found.pk)
    return _form(request, "buying/farms/farm_form.html", form, found)


@require_POST
def retire_farm(request: CoopRequest, farm_id: int) -> HttpResponse:
    """Take a farm off the list."""
    found = acts.retire_farm(farm_id, by=request.member)
    messages.success(request, f"{found.name} is off the list.")
    return redirect("buying:farm", request.coop.slug, farm_id)


@require_POST
def restore_farm(request: CoopRequest, farm_id: int) -> HttpResponse:
    """Put a farm on the list again."""
    found = acts.restore_farm(farm_id, by=request.member)
    messages.success(request, f"{found.name} is on the list again.")
    return redirect("buying:farm", request.coop.slug, farm_id)


@require_http_methods(["GET", "POST"])
def new_offer(request: CoopRequest, farm_id: int) -> HttpResponse:
    """Add a line to a price list."""
    found = farm_for(request.member, farm_id)
    rights.require_post_buys(request.member)
    form = OfferForm(request.POST or None, coop=request.coop)
    if form.is_valid():
        with refusal_in(form):
            offer = acts.add_offer(found.pk, form.terms(), by=request.member)
            messages.success(request, f"{found.name} offers {offer}.")
            return redirect("buying:farm", request.coop.slug, found.pk)
    return _form(request, "buying/farms/offer_form.html", form, found)


@require_http_methods(["GET", "POST"])
def edit_offer(request: CoopRequest, farm_id: int, offer_id: int) -> HttpResponse:
    """Change a line of a price list."""
    offer = offer_for(request.member, farm_id, offer_id)
    rights.require_post_buys(request.member)
    form = OfferForm(request.POST or None, coop=request.coop, initial=OfferForm.initial_of(offer))
    if form.is_valid():
        with refusal_in(form):
            acts.change_offer(farm_id, offer_id, form.terms(), by=request.member)
            messages.success(request, "Saved. Buys that are posted keep the terms they had.")
            return redirect("buying:farm", request.coop.slug, farm_id)
    return _form(request, "buying/farms/offer_form.html", form, offer.farm, is_new=False)


@require_POST
def retire_offer(request: CoopRequest, farm_id: int, offer_id: int) -> HttpResponse:
    """Take a line off a price list."""
    offer = acts.retire_offer(farm_id, offer_id, by=request.member)
    messages.success(request, f"{offer} is off the price list.")
    return redirect("buying:farm", request.coop.slug, farm_id)


def _form(
    request: CoopRequest,
    template: str,
    form: FarmForm | OfferForm,
    farm: Farm | None,
    *,
    is_new: bool = True,
) -> HttpResponse:
    context = {"form": form, "farm": farm, "is_new": is_new}
    return (refused if form.errors else render)(request, template, context)
