"""Pages on which something is said anew of a lot: the jars that went in, where it comes from."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coop.kitchen import rights
from coop.kitchen.actions import told_anew as acts
from coop.kitchen.forms.told_anew import JarsInForm, OriginForm
from coop.kitchen.queries.lots import lot_for
from coop.kitchen.views.lots import about_lot
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def jars_in(request: CoopRequest, lot_id: int) -> HttpResponse:
    """Correct how many jars went in, until they are counted out."""
    lot = lot_for(request.member, lot_id)
    if lot.load is None:
        raise Http404
    rights.require_keep_lot(request.member, lot)
    form = JarsInForm(request.POST or None, initial={"count": lot.counted_in})
    template, context = "kitchen/lots/jars_in.html", about_lot(request, lot) | {"form": form}
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        typed = form.cleaned_data
        acts.correct_jars_in(lot.pk, typed["count"], ran_so=typed["ran_so"], by=request.member)

    if saved(form, act):
        messages.success(request, "The jars that went in are corrected.")
        return redirect("kitchen:lot", request.coop.slug, lot.pk)
    return refused(request, template, context)


@require_http_methods(["GET", "POST"])
def origin(request: CoopRequest, lot_id: int) -> HttpResponse:
    """Say of which share or farm a lot is."""
    lot = lot_for(request.member, lot_id)
    rights.require_keep_lot(request.member, lot)
    form = OriginForm(request.POST if request.method == "POST" else None, lot=lot)
    template, context = "kitchen/lots/origin.html", about_lot(request, lot) | {"form": form}
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        acts.say_origin(lot.pk, share=form.share, farm=form.farm, by=request.member)

    if saved(form, act):
        messages.success(request, "Written down where it comes from.")
        return redirect("kitchen:lot", request.coop.slug, lot.pk)
    return refused(request, template, context)
