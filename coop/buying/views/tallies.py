"""Pages of the tally: overview, the quick form, the sheet for the clipboard."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coop.buying import rights
from coop.buying.actions.tally import finish_tally as finish
from coop.buying.actions.tally import record_tally
from coop.buying.errors import NotAllowed, Refused, TooLate
from coop.buying.forms.tallies import MORE_ROWS, TallyForm, rows_for
from coop.buying.models import Buy
from coop.buying.queries.buys import buy_for, supply_for
from coop.buying.queries.tally import lines_came, supply_came
from coop.people.middleware import CoopRequest
from coop.web.pages import UNPROCESSABLE, refused
from coop.web.refusals import saved

WRITABLE = (Buy.Stage.CALLED_IN, Buy.Stage.COLLECTED)


@require_GET
def tally(request: CoopRequest, buy_id: int) -> HttpResponse:
    """What was called in and what came, by supply."""
    return _overview(request, buy_for(request.member, buy_id))


def _overview(
    request: CoopRequest, buy: Buy, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    lines = lines_came(buy)
    runs = rights.can_run(request.member, buy)
    context = {
        "buy": buy,
        "lines": lines,
        "refusal": refusal,
        "can_write": runs and buy.stage in WRITABLE,
        "can_finish": runs and buy.stage == Buy.Stage.CALLED_IN,
        "can_divide": runs and buy.stage == Buy.Stage.COLLECTED,
        "awaited": [each for came in lines for each in came.supplies if each.is_awaited],
    }
    return render(request, "buying/tally/overview.html", context, status=status)


@require_http_methods(["GET", "POST"])
def tally_supply(request: CoopRequest, buy_id: int, supply_id: int) -> HttpResponse:
    """Count one supply: what came, what the scale said, what the farm charges."""
    supply = supply_for(request.member, buy_id, supply_id)
    buy = supply.line.buy
    if not rights.can_run(request.member, buy):
        raise NotAllowed("The tally is written by a coordinator, or by who leads this buy.")
    came = supply_came(supply)
    context = {"buy": buy, "supply": supply, "came": came}
    template = "buying/tally/supply.html"
    if request.method == "GET":
        rows = rows_for(supply, came.tally)
        form = TallyForm(supply=supply, tally=came.tally, rows=rows)
        return render(request, template, context | {"form": form})
    rows = _rows_typed(request, rows_for(supply, came.tally))
    if "more" in request.POST:
        typed = {name: value for name, value in request.POST.items() if value}
        form = TallyForm(supply=supply, tally=came.tally, rows=rows + MORE_ROWS, initial=typed)
        return render(request, template, context | {"form": form})
    form = TallyForm(request.POST, supply=supply, tally=came.tally, rows=rows)
    if saved(form, lambda: record_tally(supply, form.loaded(), by=request.member)):
        messages.success(request, f"{supply.line} from {supply.farm} is written down.")
        return redirect("buying:tally", request.coop.slug, buy.pk)
    return refused(request, template, context | {"form": form})


def _rows_typed(request: CoopRequest, fallback: int) -> int:
    typed = request.POST.get("rows", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 4 else fallback  # noqa: PLR2004


@require_GET
def tally_sheet(request: CoopRequest, buy_id: int) -> HttpResponse:
    """The same fields on paper, for the clipboard."""
    buy = buy_for(request.member, buy_id)
    context = {"buy": buy, "lines": lines_came(buy)}
    return render(request, "buying/tally/sheet.html", context)


@require_POST
def finish_tally(request: CoopRequest, buy_id: int) -> HttpResponse:
    """Everything is counted."""
    buy = buy_for(request.member, buy_id)
    try:
        finish(buy, by=request.member)
    except (NotAllowed, TooLate):
        raise
    except Refused as refusal:
        return _overview(request, buy, refusal=refusal.sentence, status=UNPROCESSABLE)
    messages.success(request, "Everything is counted. Next: divide it.")
    return redirect("buying:divide", request.coop.slug, buy.pk)
