"""Pages of things: the list, one of them, and what is changed of it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.equipment.actions import retiring
from coop.equipment.actions import things as acts
from coop.equipment.forms.things import NewThingForm, ThingForm
from coop.equipment.kinds import ThingKind
from coop.equipment.notices.circles import circle_of
from coop.equipment.queries.coming import coming_on
from coop.equipment.queries.thing_list import find_things, kinds_there, retired_count, rows_of
from coop.equipment.queries.thing_page import thing_page
from coop.equipment.queries.things import thing_for
from coop.equipment.rights import can_keep, is_steward, require_keep
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import CONFLICT, saved

PER_PAGE = 25
CHANGES_SHOWN = 20
LONGEST_SEARCH = 80


@require_safe
def things(request: CoopRequest) -> HttpResponse:
    """All things, of one kind, or those that a few typed letters find."""
    kind, retired = request.GET.get("kind", ""), request.GET.get("retired") == "1"
    words = request.GET.get("q", "").replace("\0", "").strip()[:LONGEST_SEARCH]
    kinds = kinds_there(request.coop)
    found = find_things(
        request.coop,
        kind=kind if kind in ThingKind.values else "",
        words=words,
        retired=retired,
    )
    page = Paginator(found, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": rows_of(list(page), timezone.now()),
        "kinds": kinds,
        "kind": kind,
        "circle": circle_of(ThingKind(kind)) if kind in ThingKind.values else "",
        "may_write": is_steward(request.member),
        "words": words,
        "retired": retired,
        "query": _query(kind, words, retired=retired),
        "how_many": sum(count for _, count in kinds),
        "retired_count": retired_count(request.coop),
    }
    return render(request, "equipment/things.html", context)


def _query(kind: str, words: str, *, retired: bool) -> str:
    """What the ways to other pages of the list carry on."""
    asked = {"kind": kind, "q": words, "retired": "1" if retired else ""}
    kept = urlencode({name: value for name, value in asked.items() if value})
    return f"{kept}&" if kept else ""


@require_safe
def thing(request: CoopRequest, thing_id: int) -> HttpResponse:
    """One thing: where it is, whether it is fit, when it is free, what belongs to it."""
    shown = thing_for(request.member, thing_id)
    context = {
        "page": thing_page(shown, timezone.now()),
        "thing": shown,
        "may_keep": can_keep(request.member, shown),
        "changes": changes_of(request.coop, shown)[:CHANGES_SHOWN],
    }
    return render(request, "equipment/thing.html", context)


@require_http_methods(["GET", "POST"])
def new_thing(request: CoopRequest) -> HttpResponse:
    """Put a thing on the list: first its kind, then what matters for that kind."""
    kind = request.GET.get("kind", "")
    if kind not in ThingKind.values:
        if request.method == "POST":
            raise Http404
        return render(request, "equipment/thing_kinds.html", {"kinds": ThingKind})
    form = NewThingForm(
        request.POST if request.method == "POST" else None, kind=kind, member=request.member
    )
    context = {"form": form, "kind": kind, "is_steward": is_steward(request.member)}
    if request.method == "GET":
        return render(request, "equipment/thing_form.html", context)
    made: list[int] = []

    def act() -> None:
        added = acts.create_thing(
            kind,
            form.terms(),
            by=request.member,
            owner=form.owner,
            parts=form.parts(),
            cares=form.cares(),
        )
        made.append(added.pk)

    if not saved(form, act):
        return refused(request, "equipment/thing_form.html", context)
    messages.success(
        request, f"{form.cleaned_data['name']} is on the list. Print its sheet and tape it on."
    )
    return redirect("equipment:thing", request.coop.slug, made[0])


@require_http_methods(["GET", "POST"])
def edit_thing(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Change what is known of a thing."""
    shown = thing_for(request.member, thing_id)
    require_keep(request.member, shown)
    form = ThingForm(
        request.POST if request.method == "POST" else None,
        kind=shown.kind,
        member=request.member,
        thing=shown,
        initial=ThingForm.initial_of(shown),
    )
    context = {"form": form, "thing": shown, "kind": shown.kind}
    if request.method == "GET":
        return render(request, "equipment/thing_form.html", context)

    def act() -> None:
        acts.edit_thing(shown.pk, form.terms(), by=request.member, owner=form.owner)

    if not saved(form, act):
        return refused(request, "equipment/thing_form.html", context)
    messages.success(request, f"{form.cleaned_data['name']}: saved.")
    return redirect("equipment:thing", request.coop.slug, shown.pk)


@require_http_methods(["GET", "POST"])
def retire(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Take a thing off the list for good; while it is booked, the page lists those bookings."""
    shown = thing_for(request.member, thing_id)
    require_keep(request.member, shown)
    template = "equipment/retire.html"
    context: dict[str, Any] = {"thing": shown}
    if request.method == "GET":
        context["coming"] = coming_on(shown, timezone.now())
        return render(request, template, context)
    try:
        retired = retiring.retire(shown.pk, by=request.member)
    except retiring.StillWanted as refusal:
        context |= {"coming": refusal.bookings, "refusal": refusal}
        return render(request, template, context, status=CONFLICT)
    messages.success(request, f"{retired} is retired. What was written about it is kept.")
    return redirect("equipment:thing", request.coop.slug, retired.pk)


@require_POST
def bring_back(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Put a retired thing on the list again."""
    back = retiring.bring_back(thing_id, by=request.member)
    messages.success(request, f"{back} is on the list again.")
    return redirect("equipment:thing", request.coop.slug, back.pk)
