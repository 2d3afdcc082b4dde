"""Pages of finding a time, and of places in line."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.equipment.actions import standby as acts
from coop.equipment.forms.finding import FindForm, StandByForm, number_in, standby_initial
from coop.equipment.queries.find_page import by_day, doubtful, kinds_in, kinds_of, nearest
from coop.equipment.queries.finding import Hours, look
from coop.equipment.queries.fitness import fitness_in
from coop.equipment.queries.standby import (
    household_to_act_for,
    lines_in,
    offered_instead,
    offers_to,
    over_lately,
)
from coop.equipment.queries.things import thing_for, things_in
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_GET
def find(request: CoopRequest) -> HttpResponse:
    """The earliest times on each kind of thing, or those of what the address asks for."""
    now, typed = timezone.now(), request.GET.copy()
    kinds = kinds_in(request.coop)
    key = number_in(typed.get("thing", ""))
    thing = thing_for(request.member, key) if key else None
    if thing:
        typed["kind"] = thing.kind
    if not kinds or not typed.get("kind"):
        return _overview(request, now)
    form = FindForm(typed, coop=request.coop, kinds=kinds, now=now)
    context: dict[str, Any] = {"form": form, "thing": thing, "kind": typed["kind"]}
    if not form.is_valid():
        return refused(request, "equipment/find.html", context)
    return render(request, "equipment/find.html", context | _results(request, form, now))


def _overview(request: CoopRequest, now: datetime) -> HttpResponse:
    """The earliest time on each kind of thing, at the hours that the address names."""
    hours, passed_on = request.GET.get("hours", ""), _passed_on(request)
    hours = hours if hours in Hours.values else Hours.WAKING.value
    context = {
        "kinds": kinds_of(request.member.household, now, hours),
        "hours": hours,
        "ways": [(each, urlencode({"hours": each.value} | passed_on)) for each in Hours],
        "passed_on": urlencode(passed_on),
    }
    return render(request, "equipment/find_kinds.html", context)


def _results(request: CoopRequest, form: FindForm, now: datetime) -> dict[str, Any]:
    household, search = request.member.household, form.search()
    found = look(household, search, now)
    near = None if found.slots else nearest(household, search, found, now)
    shorter = str(near.shorter_minutes) if near else ""
    days = by_day(found.slots, request.coop, search.window)
    return {
        "search": search,
        "hours": search.hours,
        "found": found,
        "days": [(each, _asked(form, **form.window_said(each.window))) for each in days],
        "nearest": near,
        "shorter": _asked(form, minutes=shorter),
        "asked": _asked(form),
        "passed_on": urlencode(_passed_on(request)),
        "doubtful": doubtful(found.slots),
        "ways": [(hours, _asked(form, hours=hours.value)) for hours in Hours],
        "lengths": [(each, _asked(form, minutes=str(each))) for each in form.other_lengths()],
        "gauges": [(key, said, _asked(form, gauge=key)) for key, said in form.gauges()],
    }


def _asked(form: FindForm, **changed: str) -> str:
    """The query of a search, with some of it changed: for links to what is near."""
    said = {name: form.data.get(name, "") for name in form.fields} | changed
    return urlencode({name: value for name, value in said.items() if value})


def _passed_on(request: CoopRequest) -> dict[str, str]:
    """What a booking from here is for, and what it comes from, as the address says."""
    said = {name: request.GET.get(name, "") for name in ("purpose", "about")}
    return {name: value for name, value in said.items() if value}


@require_GET
def standbys(request: CoopRequest) -> HttpResponse:
    """What the household is offered, who is in line for what, and why in which order."""
    now, household = timezone.now(), request.member.household
    offers = list(offers_to(household, now))
    fitness = fitness_in([each.thing for each in offers], today_in(request.coop, now))
    context = {
        "offers": [(each, fitness[each.thing_id]) for each in offers],
        "lines": lines_in(request.member, now),
        "over": over_lately(household, now),
    }
    return render(request, "equipment/standbys.html", context)


@require_http_methods(["GET", "POST"])
def stand_by(request: CoopRequest) -> HttpResponse:
    """Stand by for a thing or any of a kind; stewards and coordinators for another household."""
    now = timezone.now()
    household = household_to_act_for(request.member, request.GET.get("household", ""))
    form = StandByForm(
        request.POST if request.method == "POST" else None,
        coop=request.coop,
        things=list(things_in(request.coop)),
        initial=standby_initial(request.GET, now),
    )
    context = {"form": form, "household": household}
    if request.method == "GET":
        return render(request, "equipment/stand_by.html", context)
    if saved(form, lambda: acts.stand_by(form.want(), household, by=request.member, now=now)):
        messages.success(request, f"{household} is in line.")
        return redirect("equipment:standbys", request.coop.slug)
    return refused(request, "equipment/stand_by.html", context)


@require_POST
def end_standby(request: CoopRequest, standby_id: int) -> HttpResponse:
    """Leave a place in line."""
    place = acts.end_standby(standby_id, by=request.member)
    messages.success(request, f"{place.household} has left that line.")
    return redirect("equipment:standbys", request.coop.slug)


@require_POST
def take(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Take what the household was offered."""
    booking = acts.take(booking_id, by=request.member)
    messages.success(request, f"{booking.thing} is booked for {booking.household}.")
    return redirect("equipment:booking", request.coop.slug, booking.pk)


@require_POST
def pass_on(request: CoopRequest, booking_id: int) -> HttpResponse:
    """Pass on what the household was offered, and stay in line for other times."""
    passed = offered_instead(acts.pass_on(booking_id, by=request.member))
    to = f" to {passed.household}" if passed else ": nobody else is in line for it, so it is free"
    messages.success(request, f"Passed on{to}. You stay in line for other times.")
    return redirect("equipment:standbys", request.coop.slug)
