"""The page of labels: sizes, a preview, and the sheets that the printer gets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from coop.core.labels import Sheet
from coop.kitchen.drawings import Drawn, Label, draw_label, plain
from coop.kitchen.forms.labels import FIRST, SizesForm
from coop.kitchen.queries.labels import ToLabel, lots_to_offer, to_label, written_out
from coop.kitchen.queries.lots import code_of_lot, spoken_code
from coop.people.middleware import CoopRequest
from coop.web.badges import initial
from coop.web.pages import refused

#: Where the browser's session keeps the sizes.
REMEMBERED = "label_sizes"
MOST_LOTS = 60
LONGEST_NUMBER = 9


@dataclass(frozen=True)
class Place:
    """Where one label stands on its page: which drawing, and its top left corner in mm."""

    key: str
    x: str
    y: str


@dataclass(frozen=True)
class Page:
    """One sheet: the drawings that stand on it, and where."""

    number: int
    drawn: list[tuple[str, Drawn]]
    places: list[Place]


@require_GET
def labels(request: CoopRequest) -> HttpResponse:
    """Choose lots and sizes; with lots, the sheets as they are printed."""
    lots = to_label(request.coop, asked := _ids(request))
    if len(lots) != len(asked):
        raise Http404
    if not lots:
        offered = lots_to_offer(request.coop)
        return render(request, "kitchen/labels/choose.html", {"lots": offered})
    remembered = FIRST | request.session.get(REMEMBERED, {})
    typed = request.GET if "paper" in request.GET else _as_typed(remembered, lots)
    form = SizesForm(typed, lots=lots)
    bad = [each for each in lots if each.dangers]
    context: dict[str, Any] = {"form": form, "lots": lots, "bad": bad}
    if not form.is_valid():
        return refused(request, "kitchen/labels/labels.html", context)
    request.session[REMEMBERED] = form.sizes()
    return render(request, "kitchen/labels/labels.html", context | _sheets(request, form))


def _ids(request: CoopRequest) -> list[int]:
    """The lots that the address names, each once. What is no number is not there."""
    named = dict.fromkeys(request.GET.getlist("lot"))
    if any(not (each.isascii() and each.isdigit()) for each in named) or len(named) > MOST_LOTS:
        raise Http404
    if any(len(each) > LONGEST_NUMBER for each in named):
        raise Http404
    return list(dict.fromkeys(int(each) for each in named))


def _as_typed(sizes: dict[str, Any], lots: list[ToLabel]) -> dict[str, Any]:
    """Sizes and counts as the form would send them."""
    fields = SizesForm(lots=lots).fields
    counts = {f"count_{each.lot.pk}": each.jars for each in lots}
    return {
        name: fields[name].prepare_value(value)
        for name, value in (sizes | counts).items()
        if name in fields and value is not None
    }


def _sheets(request: CoopRequest, form: SizesForm) -> dict[str, Any]:
    """The pages to print, and their paper."""
    typed = form.cleaned_data
    sheet: Sheet = typed["sheet"]
    size = sheet.label_width_mm, sheet.label_height_mm
    drawn = {f"{each.lot.pk}": draw_label(_label(request, each), *size) for each in form.lots}
    waiting = iter(
        f"{each.lot.pk}" for each in form.lots for _ in range(typed[f"count_{each.lot.pk}"])
    )
    return {
        "pages": list(_pages(typed["places"], drawn, waiting)),
        "sheet": sheet,
        "paper": typed["paper"],
        "edges": typed["edges"],
        "width": plain(sheet.width_mm),
        "height": plain(sheet.height_mm),
        "label_width": plain(sheet.label_width_mm),
        "label_height": plain(sheet.label_height_mm),
        "per_page": sheet.per_page,
        "count": sum(map(len, typed["places"])),
    }


def _pages(places: list[Any], drawn: dict[str, Drawn], waiting: Iterator[str]) -> Iterator[Page]:
    for number, page in enumerate(places, start=1):
        stands = [Place(next(waiting), plain(x), plain(y)) for x, y in page]
        keys = dict.fromkeys(place.key for place in stands)
        yield Page(number, [(key, drawn[key]) for key in keys], stands)


def _label(request: CoopRequest, each: ToLabel) -> Label:
    lot = each.lot
    address = reverse("kitchen:lot_by_code", args=[request.coop.slug, code_of_lot(lot)])
    return Label(
        household=lot.household.name,
        mark=initial(lot.household.name),
        product=each.product,
        put_up_as=each.put_up_as,
        made=written_out(lot.made_on),
        best_by=f"{each.best_by.on:%B %Y}" if each.best_by else "",
        code=spoken_code(lot),
        url=request.build_absolute_uri(address),
        is_bad=bool(each.dangers),
    )
