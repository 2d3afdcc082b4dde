"""Households: the list, one of them, its details, its leaving."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from coop.people.actions.households import (
    DETAILS,
    OWN_OR_COORDINATOR,
    edit_household,
    end_household,
    reasons_to_stay,
)
from coop.people.changes import changes_of
from coop.people.forms.households import HouseholdForm
from coop.people.middleware import CoopRequest
from coop.people.queries import (
    former_households_in,
    household_for,
    households_in,
    invitations_into,
    invitations_of,
)
from coop.people.rights import (
    can_edit_household,
    can_end_household,
    can_invite_households,
    can_invite_into,
    can_set_roles,
    require,
)
from coop.people.views.proof import fresh_proof
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved

CHANGES_SHOWN = 30
LONGEST_SEARCH = 80


@require_GET
def households(request: CoopRequest) -> HttpResponse:
    """All households, or those that a few typed letters find."""
    words = request.GET.get("q", "").replace("\0", "").strip()[:LONGEST_SEARCH]
    context = {
        "words": words,
        "households": households_in(request.coop, words),
        "former": former_households_in(request.coop),
        "invitations": invitations_of(request.member),
        "may_invite": can_invite_households(request.member),
    }
    return render(request, "people/households.html", context)


@require_GET
def household(request: CoopRequest, household_id: int) -> HttpResponse:
    """One household: its members, how to reach it, its history."""
    shown = household_for(request.member, household_id)
    context = {
        "household": shown,
        "is_own": shown.pk == request.member.household_id,
        "may_edit": can_edit_household(request.member, shown),
        "may_end": can_end_household(request.member, shown) and not shown.left_at,
        "may_invite": can_invite_into(request.member, shown),
        "may_set_roles": can_set_roles(request.member),
        "invitations": invitations_into(shown),
        "changes": changes_of(request.coop, shown)[:CHANGES_SHOWN],
    }
    return render(request, "people/household.html", context)


@require_http_methods(["GET", "POST"])
def edit(request: CoopRequest, household_id: int) -> HttpResponse:
    """Change what a household says of itself."""
    shown = household_for(request.member, household_id)
    require(can_edit_household(request.member, shown), OWN_OR_COORDINATOR)
    initial = {name: getattr(shown, name) for name in DETAILS}
    form = HouseholdForm(request.POST or None, initial=initial)
    if request.method == "POST" and saved(
        form, lambda: edit_household(shown.pk, form.details(), by=request.member)
    ):
        messages.success(request, "Saved.")
        return redirect("people:household", request.coop.slug, shown.pk)
    status = UNPROCESSABLE if form.is_bound else 200
    context = {"form": form, "household": shown}
    return render(request, "people/edit_household.html", context, status=status)


@require_http_methods(["GET", "POST"])
@fresh_proof
def end(request: CoopRequest, household_id: int) -> HttpResponse:
    """A household leaves the co-op, after a yes."""
    shown = household_for(request.member, household_id)
    require(can_end_household(request.member, shown), OWN_OR_COORDINATOR)
    if request.method == "POST":
        end_household(shown.pk, by=request.member)
        messages.success(request, f"{shown.name} has left the co-op.")
        is_own = shown.pk == request.member.household_id
        return (
            redirect("people:home") if is_own else redirect("people:households", request.coop.slug)
        )
    context = {"household": shown, "reasons": reasons_to_stay(shown)}
    return render(request, "people/end_household.html", context)
