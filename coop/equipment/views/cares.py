"""Pages of care: what is to be looked after on a thing, and that it was."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from coop.equipment.actions import cares as acts
from coop.equipment.errors import Refused
from coop.equipment.forms.fitness import CareForm, DoneForm
from coop.equipment.queries.cares import cares_of, done_on
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import can_keep, require_keep
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def cares(request: CoopRequest, thing_id: int) -> HttpResponse:
    """What is to be looked after on a thing; who keeps it adds to the list."""
    thing = thing_for(request.member, thing_id)
    form = CareForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        require_keep(request.member, thing)
        if saved(form, lambda: acts.add_care(thing.pk, form.round(), by=request.member)):
            messages.success(request, "It is on the list.")
            return redirect("equipment:cares", request.coop.slug, thing.pk)
    context = {
        "thing": thing,
        "form": form,
        "states": cares_of(thing, today_in(request.coop, timezone.now())),
        "done": done_on(thing),
        "keeps": can_keep(request.member, thing),
        "longest_note": DoneForm.base_fields["note"].max_length,  # type: ignore[attr-defined]
    }
    if form.is_bound:
        return refused(request, "equipment/cares.html", context)
    return render(request, "equipment/cares.html", context)


@require_POST
def care_done(request: CoopRequest, care_id: int) -> HttpResponse:
    """Somebody looked after it."""
    form = DoneForm(request.POST)
    if not form.is_valid():
        raise Refused(f"The note is too long: {form.errors['note'][0]}")
    done = acts.care_done(care_id, by=request.member, note=form.cleaned_data["note"])
    messages.success(request, f"{done.care.what.capitalize()}: looked after.")
    return redirect("equipment:cares", request.coop.slug, done.care.thing_id)


@require_POST
def drop_care(request: CoopRequest, care_id: int) -> HttpResponse:
    """Who keeps a thing takes something off the list."""
    thing = acts.drop_care(care_id, by=request.member)
    messages.success(request, "It is off the list.")
    return redirect("equipment:cares", request.coop.slug, thing.pk)
