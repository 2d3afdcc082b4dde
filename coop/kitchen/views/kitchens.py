"""Pages of the kitchens that the co-op cooks in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.kitchen import rights
from coop.kitchen.actions import kitchens as acts
from coop.kitchen.forms.kitchens import KitchenForm
from coop.kitchen.models import Kitchen
from coop.kitchen.queries.kitchens import kitchen_for, kitchens_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_safe
def kitchens(request: CoopRequest) -> HttpResponse:
    """Where the co-op cooks."""
    context = {
        "kitchens": kitchens_in(request.coop),
        "can_keep": rights.can_keep_kitchens(request.member),
    }
    return render(request, "kitchen/kitchens/list.html", context)


@require_http_methods(["GET", "POST"])
def add_kitchen(request: CoopRequest) -> HttpResponse:
    """Put a kitchen on the list."""
    rights.require_keep_kitchens(request.member)
    form = KitchenForm(request.POST or None, initial={"altitude_ft": request.coop.altitude_ft})
    return _form(request, form, None)


@require_http_methods(["GET", "POST"])
def edit_kitchen(request: CoopRequest, kitchen_id: int) -> HttpResponse:
    """Change what is known of a kitchen."""
    kitchen = kitchen_for(request.member, kitchen_id)
    rights.require_keep_kitchens(request.member)
    form = KitchenForm(request.POST or None, initial=KitchenForm.initial_of(kitchen))
    return _form(request, form, kitchen)


def _form(request: CoopRequest, form: KitchenForm, kitchen: Kitchen | None) -> HttpResponse:
    def act() -> None:
        if kitchen is None:
            acts.add_kitchen(form.terms(), by=request.member)
        else:
            acts.change_kitchen(kitchen.pk, form.terms(), by=request.member)

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
