"""The page of what was really put up of a use."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coop.kitchen import rights
from coop.kitchen.actions.outcomes import write_outcome
from coop.kitchen.forms.outcomes import OutcomeForm
from coop.kitchen.queries.plans import counted_out_of, use_for
from coop.kitchen.queries.plates import outcome_of, title_of
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def outcome(request: CoopRequest, use_id: int) -> HttpResponse:
    """Write down, or correct, what was put up of a use."""
    use = use_for(request.member, use_id)
    rights.require_act_for(request.member, use.plan.household)
    today = timezone.now().astimezone(ZoneInfo(request.coop.time_zone)).date()
    counted_out = counted_out_of(use)
    old = outcome_of(use)
    initial = OutcomeForm.initial_of(use, old, counted_out=counted_out, today=today)
    form = OutcomeForm(request.POST or None, use=use, initial=initial)

    def act() -> None:
        write_outcome(use.pk, form.terms(), today=today, by=request.member)

    if request.method == "POST" and saved(form, act):
        messages.success(request, "Written down. It counts in your co-op's own yields.")
        return redirect("kitchen:plan", request.coop.slug, use.plan_id)
    context = {
        "form": form,
        "use": use,
        "title": title_of(use),
        "counted_out": counted_out if old is None else None,
        "is_written": old is not None,
    }
    return (refused if form.errors else render)(request, "kitchen/plans/outcome.html", context)
