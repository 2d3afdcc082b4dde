"""Entries of the books: the list, one of them, its reversal."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from coop.buying.actions.reversals import reverse as reverse_it
from coop.core.figures import money
from coop.money import rights
from coop.money.forms.reasons import ReasonForm
from coop.money.models import Entry
from coop.money.queries.entries import entries_in, entry_for
from coop.people.middleware import CoopRequest
from coop.people.rights import require
from coop.people.views.proof import fresh_proof
from coop.web.pages import refused
from coop.web.refusals import saved

ENTRIES_A_PAGE = 50
NOT_YOURS = "This entry is between other households. The treasurer can tell you about it."


@require_GET
def entries(request: CoopRequest) -> HttpResponse:
    """Everything that was ever entered, newest first."""
    require(rights.can_see_books(request.member), rights.BOOKS_ARE_KEPT)
    pages = Paginator(entries_in(request.coop), ENTRIES_A_PAGE)
    context = {"page": pages.get_page(request.GET.get("page"))}
    return render(request, "money/entries.html", context)


@require_GET
def entry(request: CoopRequest, entry_id: int) -> HttpResponse:
    """One entry: who gave what to whom, who wrote it, what it is about."""
    found = entry_for(request.member, entry_id)
    require(rights.can_see_entry(request.member, found), NOT_YOURS)
    context = {
        "entry": found,
        "can_reverse": _can_reverse(request, found),
    }
    return render(request, "money/entry.html", context)


def _can_reverse(request: CoopRequest, found: Entry) -> bool:
    return (
        rights.can_keep_books(request.member)
        and found.kind != Entry.Kind.REVERSAL
        and not hasattr(found, "reversed_by")
    )


@fresh_proof
@require_http_methods(["GET", "POST"])
def reverse_entry(request: CoopRequest, entry_id: int) -> HttpResponse:
    """Take an entry back with a reason. It stays, and its reversal stands beside it."""
    found = entry_for(request.member, entry_id)
    require(rights.can_keep_books(request.member), rights.TREASURER_ONLY)
    form = ReasonForm(request.POST if request.method == "POST" else None)
    amount = money(found.moved_cents, request.coop.currency)  # type: ignore[attr-defined]
    context = {
        "question": "Reverse this entry?",
        "text": f"“{found.title}” moved {amount}. Its reversal moves the same amounts the other "
        "way round; both stay in the books.",
        "form": form,
        "label": "Reverse it",
        "back_url": reverse("money:entry", args=[request.coop.slug, found.pk]),
    }
    if request.method == "GET":
        return render(request, "pages/confirm.html", context)
    made: list[Entry] = []
    why = request.POST.get("why", "")
    if saved(form, lambda: made.append(reverse_it(found, why=why, by=request.member))):
        messages.success(request, "Reversed. Both entries stay in the books.")
        return redirect("money:entry", request.coop.slug, made[0].pk)
    return refused(request, "pages/confirm.html", context)
