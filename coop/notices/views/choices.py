"""The page on which a member chooses what comes, how, and how long before."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from coop.notices.actions.choices import choose
from coop.notices.forms.choices import QUICK, ChoicesForm, kinds_that_can_wait
from coop.notices.queries.choices import chosen_by
from coop.notices.queries.meanings import Meanings
from coop.people.middleware import CoopRequest
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def choices(request: CoopRequest) -> HttpResponse:
    """What is chosen, with a form to choose otherwise; a quick way sets the mail of all kinds."""
    chosen = chosen_by(request.member)
    form = ChoicesForm(chosen, request.POST if request.method == "POST" else None)
    quick = request.POST.get("all", "")
    if form.is_bound and saved(
        form, lambda: choose(form.clocks(), form.choices(quick), by=request.member)
    ):
        messages.success(request, "Saved. It holds for what is still to be told.")
        return redirect("notices:choices", request.coop.slug)
    meanings = Meanings(request.member, chosen, timezone.now()).read()
    context = {
        "form": form,
        "parts": form.parts(meanings),
        "quick": [(code, words) for code, (words, _) in QUICK.items()],
        "can_wait": kinds_that_can_wait(),
    }
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "notices/choices.html", context, status=status)
