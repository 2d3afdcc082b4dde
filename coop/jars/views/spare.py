"""Who has spare jars."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from coop.jars.forms.spare import SpareForm, typed_in
from coop.jars.kinds import Mouth
from coop.jars.queries.spare import SpareRow, Wanted, spare_table
from coop.people.middleware import CoopRequest
from coop.web.pages import refused

HOUSEHOLDS_A_PAGE = 40
DOZEN = 12  # jars are sold by it


@require_GET
def spare(request: CoopRequest) -> HttpResponse:
    """The households with jars to spare, the nearest first."""
    typed = typed_in(request.GET)
    form = SpareForm(typed)
    is_understood = form.is_valid()
    wanted = form.wanted()
    table = spare_table(request.member, wanted)
    filters = {name: value for name, value in typed.items() if value}
    page = Paginator(table.rows, HOUSEHOLDS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "wanted": wanted,
        "table": table,
        "mouths": list(Mouth),
        "page": page,
        "lines": [(row, row.by_kind(table.kinds), _asking(row, wanted)) for row in page],
        "filters": filters,
        "query": urlencode(filters) + "&" if filters else "",
    }
    if is_understood:
        return render(request, "jars/spare.html", context)
    return refused(request, "jars/spare.html", context)


def _asking(row: SpareRow, wanted: Wanted) -> str:
    """The query that fills in the one kind that is looked for, a dozen of it at the most."""
    kinds = wanted.kinds
    if len(kinds) > 1:
        return ""
    count = min(DOZEN, row.spare[kinds[0]])
    return "?" + urlencode([("kind", kinds[0]), ("count", count)])
