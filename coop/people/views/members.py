"""Members: their roles, and their leaving."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coop.people.actions.households import reasons_to_stay
from coop.people.actions.members import leave as leave_coop
from coop.people.actions.members import set_roles
from coop.people.forms.households import RolesForm
from coop.people.middleware import CoopRequest
from coop.people.models import Member
from coop.people.queries import is_last_of_household, member_for
from coop.people.rights import can_set_roles, can_take_off, require
from coop.people.views.proof import fresh_proof
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
@fresh_proof
def roles(request: CoopRequest, member_id: int) -> HttpResponse:
    """Say what a member does for the co-op."""
    person = member_for(request.member, member_id)
    require(can_set_roles(request.member))
    # No box ticked sends nothing at all, and is an answer.
    typed = request.POST if request.method == "POST" else None
    form = RolesForm(typed, initial={"roles": person.roles})
    if request.method == "POST" and saved(
        form, lambda: set_roles(person.pk, form.cleaned_data["roles"], by=request.member)
    ):
        messages.success(request, f"The roles of {person.name} are saved.")
        return redirect("people:household", request.coop.slug, person.household_id)
    status = UNPROCESSABLE if form.is_bound else 200
    context = {"form": form, "person": person}
    return render(request, "people/roles.html", context, status=status)


@require_http_methods(["GET", "POST"])
@fresh_proof
def leave(request: CoopRequest, member_id: int) -> HttpResponse:
    """A member leaves, or is taken off, after a yes."""
    person = member_for(request.member, member_id)
    require(can_take_off(request.member, person))
    if request.method == "POST":
        leave_coop(person.pk, by=request.member)
        return _after_leaving(request, person)
    is_last = is_last_of_household(person)
    context = {
        "person": person,
        "is_oneself": person == request.member,
        "is_last": is_last,
        "reasons": reasons_to_stay(person.household) if is_last else [],
    }
    return render(request, "people/leave.html", context)


def _after_leaving(request: CoopRequest, person: Member) -> HttpResponse:
    if person == request.member:
        messages.success(request, f"You have left {request.coop.name}.")
        return redirect("people:home")
    messages.success(request, f"{person.name} is no longer a member.")
    return redirect("people:households", request.coop.slug)
