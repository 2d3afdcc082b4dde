"""Pages of the division: every rule side by side, publish, withdraw, ease a minimum."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions import divide as acts
from coop.buying.errors import NotAllowed
from coop.buying.forms.shares import EaseForm, PublishForm, WhyForm
from coop.buying.models import Ask, Buy, Line
from coop.buying.queries.buys import buy_for, line_for
from coop.buying.queries.choices import choices_of
from coop.buying.queries.division import (
    ask_to_ease,
    case_of,
    line_states,
    next_to_divide,
    published_of,
)
from coop.core.division import Rule
from coop.people.changes import changes_of
from coop.people.middleware import CoopRequest
from coop.web.pages import UNPROCESSABLE, refused
from coop.web.refusals import saved

DIVIDABLE = (Buy.Stage.COLLECTED, Buy.Stage.DIVIDED)


@require_GET
def divide(request: CoopRequest, buy_id: int) -> HttpResponse:
    """The next line of a buy to divide, or the first."""
    buy = buy_for(request.member, buy_id)
    line = next_to_divide(buy)
    if line is None:
        raise Http404
    return redirect("buying:divide", request.coop.slug, buy.pk, line.pk)


@require_GET
def divide_line(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """How one line is divided, or can be."""
    return _page(request, line_for(request.member, buy_id, line_id))


def _page(
    request: CoopRequest,
    line: Line,
    *,
    form: PublishForm | None = None,
    why_form: WhyForm | None = None,
    status: int = 200,
) -> HttpResponse:
    buy = line.buy
    context: dict[str, Any] = {
        "buy": buy,
        "line": line,
        "states": line_states(buy),
        "can_run": rights.can_run(request.member, buy),
        "history": changes_of(request.coop, buy),
    }
    published = published_of(line)
    if published:
        context |= {"published": published, "why_form": why_form or WhyForm()}
        return render(request, "buying/divide/published.html", context, status=status)
    if buy.stage not in DIVIDABLE:
        return render(request, "buying/divide/not_yet.html", context, status=status)
    choices = choices_of(case_of(line))
    context |= {"choices": choices, "case": choices.case}
    if choices.short_by or choices.case.impossible:
        return render(request, "buying/divide/cannot_cover.html", context, status=status)
    seen = {"rule": buy.shortage_rule, "seen": choices.case.digest}
    context["form"] = form or PublishForm(initial=seen)
    return render(request, "buying/divide/choose.html", context, status=status)


@require_POST
def publish_division(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """Publish one rule's division of the figures that were looked at."""
    line = line_for(request.member, buy_id, line_id)
    form = PublishForm(request.POST)

    def publish() -> None:
        typed = form.cleaned_data
        acts.publish_division(
            line, Rule(typed["rule"]), by=request.member, seen=typed["seen"], why=typed["why"]
        )

    if saved(form, publish):
        messages.success(request, f"The division of {line} is published.")
        return redirect("buying:divide", request.coop.slug, buy_id, line_id)
    return _page(request, line, form=form, status=UNPROCESSABLE)


@require_POST
def withdraw_division(request: CoopRequest, buy_id: int, line_id: int) -> HttpResponse:
    """Take the standing division back, with a reason."""
    line = line_for(request.member, buy_id, line_id)
    published = published_of(line)
    if published is None:
        messages.info(request, f"No division of {line} stands.")
        return redirect("buying:divide", request.coop.slug, buy_id, line_id)
    form = WhyForm(request.POST)

    def withdraw() -> None:
        why = form.cleaned_data["why"]
        acts.withdraw_division(published.division, why=why, by=request.member)

    if saved(form, withdraw):
        messages.success(request, f"The division of {line} is withdrawn. Divide it anew.")
        return redirect("buying:divide", request.coop.slug, buy_id, line_id)
    return _page(request, line, why_form=form, status=UNPROCESSABLE)


@require_http_methods(["GET", "POST"])
def ease_ask(request: CoopRequest, buy_id: int, ask_id: int) -> HttpResponse:
    """Lower one household's minimum, with its yes."""
    ask: Ask = ask_to_ease(request.member, buy_id, ask_id)
    if not rights.can_ease(request.member, ask):
        raise NotAllowed(acts.WHO_EASES)
    form = EaseForm(request.POST or None, ask=ask)
    context = {"buy": ask.line.buy, "line": ask.line, "ask": ask, "form": form}
    if request.method == "GET":
        return render(request, "buying/divide/ease.html", context)

    def ease() -> None:
        typed = form.cleaned_data
        acts.ease_ask(ask, at_least=typed["at_least"], or_none=typed["or_none"], by=request.member)

    if saved(form, ease):
        messages.success(request, f"{ask.household} takes less of {ask.line}.")
        return redirect("buying:divide", request.coop.slug, buy_id, ask.line_id)
    return refused(request, "buying/divide/ease.html", context)
