"""Pages of the kitchens that food is cooked in: the co-op's and households' own."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.kitchen import rights
from coop.kitchen.actions import kitchens as acts
from coop.kitchen.forms.kitchens import KitchenForm, NewKitchenForm
from coop.kitchen.models import Kitchen
from coop.kitchen.queries.kitchens import kitchen_for, kitchens_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_safe
def kitchens(request: CoopRequest) -> HttpResponse:
    """Where the co-op cooks, and where one's household does; all of them for who keeps them."""
    found = list(kitchens_in(request.coop))
    mine = request.member.household_id
    can_keep = rights.can_keep_kitchens(request.member)
    context = {
        "kitchens": [each for each in found if each.household_id is None],
        "own": [each for each in found if each.household_id == mine],
        "others": [each for each in found if can_keep and each.household_id not in (None, mine)],
        "can_keep": can_keep,
    }
    return render(request, "kitchen/kitchens/list.html", context)


@require_http_methods(["GET", "POST"])
def add_kitchen(request: CoopRequest) -> HttpResponse:
    """Put a kitchen on the list: one's own, or for who keeps them any."""
    initial = {
        "altitude_ft": request.coop.altitude_ft,
        "household": request.GET.get("household", ""),
    }
    form = NewKitchenForm(request.POST or None, member=request.member, initial=initial)

    def act() -> None:
        acts.add_kitchen(form.terms(), by=request.member, household=form.whose)

    return _form(request, form, act)


@require_http_methods(["GET", "POST"])
def edit_kitchen(request: CoopRequest, kitchen_id: int) -> HttpResponse:
    """Change what is known of a kitchen."""
    kitchen = kitchen_for(request.member, kitchen_id)
    rights.require_keep_kitchen(request.member, kitchen.household_id)
    form = KitchenForm(request.POST or None, initial=KitchenForm.initial_of(kitchen))

    def act() -> None:
        acts.change_kitchen(kitchen.pk, form.terms(), by=request.member)

    return _form(request, form, act, kitchen)


def _form(
    request: CoopRequest,
    form: KitchenForm,
    act: Callable[[], None],
    kitchen: Kitchen | None = None,
) -> HttpResponse:
    if request.method == "POST" and saved(form, act):
        messages.success(request, f"{form.cleaned_data['name']}: saved.")
        return redirect("kitchen:kitchens", request.coop.slug)
    answer = refused if form.errors else render
    return answer(request, "kitchen/kitchens/form.html", {"form": form, "kitchen": kitchen})


@require_POST
def retire_kitchen(request: CoopRequest, kitchen_id: int) -> HttpResponse:
    """Take a kitchen off the list."""
    kitchen = acts.retire_kitchen(kitchen_id, by=request.member)
    messages.success(request, f"{kitchen.name} is off the list.")
    return redirect("kitchen:kitchens", request.coop.slug)
