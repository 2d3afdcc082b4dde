"""Pages of loads: the list, writing one down, one of them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from coop.core.tables import METHODS
from coop.equipment.queries.fitness import fitness_of
from coop.kitchen import rights
from coop.kitchen.actions import loads as acts
from coop.kitchen.forms.jar_rows import starts_as
from coop.kitchen.forms.loads import (
    METHOD_CHOICES,
    AddLotForm,
    EditLoadForm,
    LoadForm,
    SuspectForm,
    kitchen_field,
)
from coop.kitchen.forms.trace import CodeForm
from coop.kitchen.models import Kitchen, Load, Lot
from coop.kitchen.queries.canners import Canner, canners_in
from coop.kitchen.queries.findings import findings_of
from coop.kitchen.queries.kitchens import kitchen_for, own_kitchen
from coop.kitchen.queries.loads import (
    RowStart,
    Sieve,
    kept_listed,
    loads_listed,
    products_in,
    published,
    start_again,
    start_of_use,
)
from coop.kitchen.queries.lots import load_for, lot_for, lots_in_load
from coop.kitchen.queries.plans import use_for
from coop.kitchen.queries.seals import seal_times, steps_of
from coop.people.changes import changes_of
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.people.models import Household
from coop.web.pages import refused
from coop.web.refusals import saved

LOADS_A_PAGE = 20
KEPT_SHOWN = 20
HISTORY = 30
LONGEST_NUMBER = 9


@require_GET
def loads(request: CoopRequest) -> HttpResponse:
    """Every load with its lots, newest first; on top what waits for one's household."""
    sieve = _sieve(request)
    pages = Paginator(loads_listed(request.coop, sieve), LOADS_A_PAGE)
    kept = list(kept_listed(request.coop, sieve)[: KEPT_SHOWN + 1])
    context = {
        "page": pages.get_page(request.GET.get("page")),
        "kept": kept[:KEPT_SHOWN],
        "has_more_kept": len(kept) > KEPT_SHOWN,
        "steps": steps_of(request.member, timezone.now()),
        "households": Household.objects.filter(coop=request.coop, lots__isnull=False).distinct(),
        "products": products_in(request.coop),
        "sieve": sieve,
        "product": "|".join(sieve.product or ()),
        "query": _query(request, "household", "product"),
        "form": CodeForm(),
    }
    return render(request, "kitchen/loads/list.html", context)


@require_http_methods(["GET", "POST"])
def new_load(request: CoopRequest) -> HttpResponse:
    """Write a load down: first in which kind of canner, then how it was run and whose it was."""
    starts, again = _starts(request)
    method, kitchen = _method(request, starts), _kitchen(request, starts)
    if method not in METHODS:
        return render(request, "kitchen/loads/choose.html", _choices(request, kitchen))
    template, context = "kitchen/loads/form.html", _form_context(request, method, kitchen)
    options = {
        "coop": request.coop,
        "method": method,
        "altitude_ft": context["altitude_ft"],
        "starts": starts,
    }
    if request.method == "GET":
        form = LoadForm(
            **options, rows=len(starts), initial=_initial(request, context["altitude_ft"], starts)
        )
        return render(request, template, context | {"form": form})
    rows = _rows_typed(request)
    if "more" in request.POST:
        typed = {name: value for name, value in request.POST.items() if value}
        form = LoadForm(**options, rows=rows + 1, initial=typed)
        return render(request, template, context | {"form": form})
    form, made = LoadForm(request.POST, **options, rows=rows), []
    if saved(form, lambda: made.append(_write(form, kitchen, again, request))):
        messages.success(request, "Written down. Count the jars out when they leave the canner.")
        return redirect("kitchen:load", request.coop.slug, made[0].pk)
    return refused(request, template, context | {"form": form})


@require_GET
def load(request: CoopRequest, load_id: int) -> HttpResponse:
    """One load: how it was run, its lots, what the tables say to it."""
    found = load_for(request.member, load_id)
    lots = list(lots_in_load(found))
    context = {
        "load": found,
        "lots": lots,
        "keeps": {lot.pk for lot in lots if rights.can_keep_lot(request.member, lot)},
        "findings": findings_of(found, lots),
        "times": seal_times(found),
        "is_early": seal_times(found).is_early(timezone.now()),
        "labels_query": urlencode({"lot": [lot.pk for lot in lots]}, doseq=True),
        "can_change": rights.can_change_load(request.member, found),
        "can_suspect": rights.can_suspect(request.member, found),
        "can_warn": rights.can_warn(request.member),
        "fitness": found.thing and fitness_of(found.thing, today_in(request.coop, timezone.now())),
        "history": changes_of(request.coop, found)[:HISTORY],
    }
    return render(request, "kitchen/loads/load.html", context)


@require_http_methods(["GET", "POST"])
def edit_load(request: CoopRequest, load_id: int) -> HttpResponse:
    """Mend a load."""
    found = load_for(request.member, load_id)
    rights.require_change_load(request.member, found)
    data = request.POST if request.method == "POST" else None
    form = EditLoadForm(data, load=found)
    template = "kitchen/loads/edit.html"
    context = {"load": found, "form": form, "canners": _canners(request)}
    if request.method == "GET":
        return render(request, template, context)

    def act() -> None:
        run = form.run(form.cleaned_data["kitchen"])
        acts.edit_load(found.pk, run, by=request.member, ran_so=form.ran_so)

    if saved(form, act):
        messages.success(request, "The load is mended.")
        return redirect("kitchen:load", request.coop.slug, found.pk)
    return refused(request, template, context)


@require_http_methods(["GET", "POST"])
def add_lot(request: CoopRequest, load_id: int) -> HttpResponse:
    """Put one more lot into a load."""
    found = load_for(request.member, load_id)
    starts, _ = _starts(request)
    start = starts[0] if starts else None
    template, context = "kitchen/loads/add_lot.html", {"load": found}
    if request.method == "GET":
        form = AddLotForm(load=found, start=start, initial=starts_as(starts, request.member))
        return render(request, template, context | {"form": form})
    form = AddLotForm(request.POST, load=found, start=start)

    def act() -> Lot:
        ran_so = form.cleaned_data["ran_so"]
        return acts.add_lot(found.pk, form.jars(), by=request.member, ran_so=ran_so)

    if saved(form, act):
        messages.success(request, "The lot is in the load.")
        return redirect("kitchen:load", request.coop.slug, found.pk)
    return refused(request, template, context | {"form": form})


@require_http_methods(["GET", "POST"])
def suspect(request: CoopRequest, load_id: int) -> HttpResponse:
    """Call a load suspect, with what went wrong."""
    found = load_for(request.member, load_id)
    rights.require_suspect(request.member, found)
    data = request.POST if request.method == "POST" else None
    form = SuspectForm(data, initial={"why": found.suspect_why})
    context = {
        "question": "Is this load suspect?",
        "text": f"{found}. All its jars are then in doubt, sealed or not, and each of their pages "
        "says so.",
        "form": form,
        "label": "It is suspect",
        "back_url": reverse("kitchen:load", args=[request.coop.slug, found.pk]),
    }
    template = "pages/confirm.html"
    if request.method == "GET":
        return render(request, template, context)
    why = request.POST.get("why", "")
    if saved(form, lambda: acts.suspect_load(found.pk, why, by=request.member)):
        messages.success(request, "The load is suspect. Next: warn who has its jars.")
        return redirect("kitchen:load", request.coop.slug, found.pk)
    return refused(request, template, context)


def _write(
    form: LoadForm, kitchen: Kitchen | None, again: Lot | None, request: CoopRequest
) -> Load:
    run, jars = form.run(kitchen), form.jars()
    return acts.write_load(run, jars, by=request.member, ran_so=form.ran_so, again=again)


def _canners(request: CoopRequest) -> list[Canner]:
    return canners_in(request.coop, today_in(request.coop, timezone.now()))


def _starts(request: CoopRequest) -> tuple[list[RowStart], Lot | None]:
    """The lines that the address asks to start with: uses, or a lot that is processed again."""
    uses = [use_for(request.member, _number(text)) for text in request.GET.getlist("use")]
    starts = [start_of_use(use) for use in uses]
    if text := request.GET.get("reprocess"):
        again = lot_for(request.member, _number(text))
        return [start_again(again), *starts], again
    return starts, None


def _method(request: CoopRequest, starts: list[RowStart]) -> str:
    """The kind of canner that the address names, also an empty one; else that of the use."""
    uses = [start.use.method for start in starts if start.use and start.use.method]
    return request.GET.get("method", next(iter(uses), ""))


def _kitchen(request: CoopRequest, starts: list[RowStart]) -> Kitchen | None:
    """The kitchen that the address names; else that of the plan; else the household's own."""
    if "kitchen" in request.GET:
        text = request.GET["kitchen"]
        return kitchen_for(request.member, _number(text)) if text else None
    if uses := [start.use for start in starts if start.use]:
        return uses[0].plan.kitchen
    return own_kitchen(request.member.household_id)


def _choices(request: CoopRequest, kitchen: Kitchen | None) -> dict[str, Any]:
    """For the first page of a load: which canner, and where."""
    mine = request.member.household_id
    field = kitchen_field(request.coop, mine, kitchen.pk if kitchen else None)
    kept = [(name, text) for name in ("use", "reprocess") for text in request.GET.getlist(name)]
    return {
        "methods": METHOD_CHOICES,
        "kitchens": list(field.queryset or []),
        "no_kitchen": field.empty_label,
        "kitchen": kitchen,
        "canners": [
            each
            for each in _canners(request)
            if not each.kitchen or each.kitchen.household_id in (None, mine)
        ],
        "kept": kept,
        "kept_query": urlencode(kept),
    }


def _form_context(request: CoopRequest, method: str, kitchen: Kitchen | None) -> dict[str, Any]:
    again, canners = _query(request, "use", "reprocess"), _canners(request)
    name = request.GET.get("canner", "")
    return {
        "method": method,
        "kitchen": kitchen,
        "altitude_ft": kitchen.altitude_ft if kitchen else request.coop.altitude_ft,
        "canners": canners,
        "chosen": next((each for each in canners if each.name == name), None),
        "change_query": again + urlencode({"method": "", "kitchen": kitchen.pk if kitchen else ""}),
    }


def _initial(request: CoopRequest, altitude_ft: int, starts: list[RowStart]) -> dict[str, Any]:
    """What is known before anybody types: now, the canner's last test, the published figures."""
    initial: dict[str, Any] = {"ended_at": timezone.now(), "watcher": request.member.pk}
    name = request.GET.get("canner", "")[:80]
    initial["canner"] = name
    for canner in _canners(request):
        if canner.name == name:
            initial["gauge_tested_on"] = canner.gauge_tested_on
    method = _method(request, starts)
    first = starts[0].filled if starts else None
    process = published(first, method, altitude_ft) if first else None
    if process:
        initial |= {"minutes": process.minutes, "psi": process.psi}
    return initial | starts_as(starts, request.member)


def _sieve(request: CoopRequest) -> Sieve:
    """What the address narrows the list to; what makes no sense narrows nothing."""
    household, product = request.GET.get("household", ""), request.GET.get("product", "")
    produce, bar, what = product.partition("|")
    return Sieve(
        int(household) if _is_number(household) else None, (produce, what) if bar else None
    )


def _query(request: CoopRequest, *names: str) -> str:
    """Those parameters of the address again, ending in &, or nothing."""
    kept = {name: request.GET.getlist(name) for name in names if request.GET.get(name)}
    return f"{urlencode(kept, doseq=True)}&" if kept else ""


def _rows_typed(request: CoopRequest) -> int:
    typed = request.POST.get("rows", "")
    return int(typed) if _is_number(typed) else 1


def _number(text: str) -> int:
    """An id in the address, or 404."""
    if not _is_number(text):
        raise Http404
    return int(text)


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER
