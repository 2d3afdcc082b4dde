"""Photos: added, shown to members of the co-op alone, taken off."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.equipment.actions import photos as acts
from coop.equipment.forms.photos import PhotosForm
from coop.equipment.queries.thing_page import photo_for
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import require_keep
from coop.people.middleware import CoopRequest
from coop.web.figures import counted
from coop.web.pages import refused
from coop.web.refusals import saved

#: A photo never changes: a phone with one bar of signal fetches it once a day.
ONE_DAY = 24 * 60 * 60


@require_http_methods(["GET", "POST"])
def add_photo(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Add photos of a thing, one or several at once."""
    thing = thing_for(request.member, thing_id)
    require_keep(request.member, thing)
    if request.method == "GET":
        return render(request, "equipment/photo_form.html", {"thing": thing, "form": PhotosForm()})
    form = PhotosForm(request.POST, request.FILES)
    if saved(form, lambda: acts.save_photos(form.cleaned_data["photo"], thing, by=request.member)):
        said = counted(len(form.cleaned_data["photo"]), "photo")
        messages.success(request, f"{said} of {thing} added.")
        return redirect("equipment:thing", request.coop.slug, thing.pk)
    return refused(request, "equipment/photo_form.html", {"thing": thing, "form": form})


@require_safe
def photo(request: CoopRequest, photo_id: int) -> HttpResponse:
    """One photo, for members of its co-op: no cache that others share may keep it."""
    shown = photo_for(request.member, photo_id)
    headers = {
        "Cache-Control": f"private, max-age={ONE_DAY}, immutable",
        "Content-Disposition": f'inline; filename="photo-{shown.pk}.jpg"',
        "Cross-Origin-Resource-Policy": "same-origin",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(bytes(shown.jpeg), content_type="image/jpeg", headers=headers)


@require_POST
def drop_photo(request: CoopRequest, photo_id: int) -> HttpResponse:
    """Take a photo of a thing off."""
    shown = photo_for(request.member, photo_id)
    acts.drop_photo(shown, by=request.member)
    messages.success(request, "The photo is taken off.")
    return redirect("equipment:thing", request.coop.slug, shown.thing_id)
