"""Pages of fitness for use, and of what a household was told."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.core.moments import day
from coop.core.tables import caution
from coop.equipment.actions import fitness as acts
from coop.equipment.actions.gauge_tests import add_gauge_test
from coop.equipment.actions.gauge_tests import strike_test as strike
from coop.equipment.actions.telling import read
from coop.equipment.forms.fitness import FaultForm, GaugeTestForm, MendForm
from coop.equipment.models import Fault, GaugeTest, Thing
from coop.equipment.queries.faults import fault_for, mended_of, needs_a_test
from coop.equipment.queries.fit import overview_of
from coop.equipment.queries.fitness import fitness_of
from coop.equipment.queries.gauge_tests import judged_tests
from coop.equipment.queries.things import thing_for, things_in
from coop.equipment.queries.told import told_for
from coop.equipment.rights import can_keep, is_steward, require_keep
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_GET
def fit(request: CoopRequest) -> HttpResponse:
    """What is out of order, to see to, to be tested and to be looked after in the co-op."""
    today = today_in(request.coop, timezone.now())
    context = {
        "overview": overview_of(list(things_in(request.coop)), today),
        "may_keep_all": is_steward(request.member),
        "gauge_caution": caution("dial_gauge_1"),
    }
    return render(request, "equipment/fit.html", context)


@require_http_methods(["GET", "POST"])
def test_gauge(request: CoopRequest, thing_id: int) -> HttpResponse:
    """The gauge tests of a canner; who keeps it writes one down."""
    thing = thing_for(request.member, thing_id)
    keeps = can_keep(request.member, thing)
    today = today_in(request.coop, timezone.now())
    form = GaugeTestForm(
        request.POST if request.method == "POST" else None, initial={"tested_on": today}
    )
    made: list[GaugeTest] = []
    if request.method == "POST":
        require_keep(request.member, thing)
        if saved(
            form, lambda: made.append(add_gauge_test(thing.pk, form.reading(), by=request.member))
        ):
            _say_found(request, thing, made[0], today)
            return redirect("equipment:test_gauge", request.coop.slug, thing.pk)
    context = {
        "thing": thing,
        "fitness": fitness_of(thing, today),
        "tests": judged_tests(thing),
        "keeps": keeps,
        "form": form,
        "gauge_caution": caution("dial_gauge_1"),
    }
    return _shown(request, "equipment/gauge.html", context, form.is_bound)


def _say_found(request: CoopRequest, thing: Thing, test: GaugeTest, today: date) -> None:
    """That a test is written down; without a tick where the canner may still not be used."""
    said = f"The test of {day(test.tested_on, today=today)} is written down."
    fitness = fitness_of(thing, today)
    if fitness.must_be_replaced:
        messages.error(request, f"{said} The gauge must be replaced: {thing} is out of order.")
    elif fitness.test_holds:
        messages.success(request, said)
    else:
        messages.warning(request, f"{said} {thing} still needs a test before it is used.")


@require_POST
def strike_test(request: CoopRequest, test_id: int) -> HttpResponse:
    """Who keeps a canner strikes out a test that was written by mistake."""
    thing = strike(test_id, by=request.member)
    messages.success(request, "The test is struck out. Write the right one down.")
    return redirect("equipment:test_gauge", request.coop.slug, thing.pk)


@require_http_methods(["GET", "POST"])
def report_fault(request: CoopRequest, thing_id: int) -> HttpResponse:
    """Any member says what is wrong with a thing."""
    thing = thing_for(request.member, thing_id)
    form = FaultForm(
        request.POST if request.method == "POST" else None,
        thing=thing,
        keeps=can_keep(request.member, thing),
    )
    found: list[Fault] = []

    def act() -> None:
        found.append(acts.report_fault(thing.pk, form.report(), by=request.member))

    if request.method == "POST" and saved(form, act):
        _thank(request, thing, found[0])
        return redirect("equipment:thing", request.coop.slug, thing.pk)
    today = today_in(request.coop, timezone.now())
    context = {"thing": thing, "form": form, "fitness": fitness_of(thing, today)}
    return _shown(request, "equipment/fault.html", context, form.is_bound)


def _thank(request: CoopRequest, thing: Thing, fault: Fault) -> None:
    if fault.stops == Fault.Stops.BOOKINGS:
        said = f"{thing} is out of order. Every household that has it booked reads that."
    else:
        said = f"Thank you. {thing} is seen to before it is next handed over."
    messages.success(request, said)


@require_http_methods(["GET", "POST"])
def mend_fault(request: CoopRequest, fault_id: int) -> HttpResponse:
    """Who keeps a thing says how a fault was mended, or why it is let go."""
    fault = fault_for(request.member, fault_id)
    require_keep(request.member, fault.thing)
    form = MendForm(request.POST if request.method == "POST" else None, fault=fault)

    def act() -> None:
        how = form.cleaned_data["how"]
        acts.mend(fault.pk, how, by=request.member, let_go=form.lets_go)

    if request.method == "POST" and saved(form, act):
        done = "It stays as it is" if form.lets_go else "Mended"
        messages.success(request, f"{done}: {fault.sentence}")
        return redirect("equipment:thing", request.coop.slug, fault.thing_id)
    context = {
        "fault": fault,
        "thing": fault.thing,
        "form": form,
        "needs_a_test": needs_a_test(fault.thing, fault.what),
        "mended": mended_of(fault.thing),
    }
    return _shown(request, "equipment/mend.html", context, form.is_bound)


@require_POST
def read_told(request: CoopRequest, told_id: int) -> HttpResponse:
    """Somebody of the household has read what it was told."""
    read(told_for(request.member, told_id), by=request.member)
    return redirect("people:week", request.coop.slug)


def _shown(
    request: CoopRequest, template: str, context: dict[str, Any], is_bound: bool
) -> HttpResponse:
    """The page, or the refused form with everything typed kept."""
    if is_bound:
        return refused(request, template, context)
    return render(request, template, context)
