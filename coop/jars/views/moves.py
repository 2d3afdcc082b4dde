"""The page of one loan, and its acts: agree, end, hand over, return, break, keep."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from coop.jars import rights
from coop.jars.actions import loans as acts
from coop.jars.actions import moves
from coop.jars.actions.moves import Told, possible
from coop.jars.forms.loans import MoveForm
from coop.jars.loan_words import lot_said
from coop.jars.models import JarMove, Loan
from coop.jars.queries.loan_story import story_of
from coop.jars.queries.loans import Side, Stage, Standing, loan_for, standing_of
from coop.jars.queries.stock import stock_of
from coop.people.days import today_in
from coop.people.middleware import CoopRequest
from coop.web.pages import refused
from coop.web.refusals import saved

What = JarMove.What
PAGE = "jars/loan.html"
#: What is likeliest is filled in; what broke or may be kept is typed.
FILLED_IN = (What.HANDED_OVER, What.RETURNED)

Act = Callable[..., list[JarMove]]


@require_GET
def loan(request: CoopRequest, loan_id: int) -> HttpResponse:
    """One loan: where its jars are, what can be done, what happened."""
    return render(request, PAGE, _context(request, loan_for(request.member, loan_id)))


@require_POST
def agree(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Say yes to an ask or an offer."""
    found = loan_for(request.member, loan_id)
    acts.agree(found.pk, by=request.member)
    messages.success(request, "Agreed. Write it down here when the jars change hands.")
    return redirect("jars:loan", request.coop.slug, found.pk)


@require_POST
def end_loan(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Decline, take back, or call off what is not handed over."""
    found = loan_for(request.member, loan_id)
    acts.end_loan(found.pk, by=request.member)
    messages.success(request, "Ended. Nothing more is handed over.")
    return redirect("jars:loan", request.coop.slug, found.pk)


@require_POST
def hand_over(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Write down jars handed over to the borrower."""
    return _write(request, loan_id, What.HANDED_OVER, moves.hand_over)


@require_POST
def take_back(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Write down jars that came back."""
    return _write(request, loan_id, What.RETURNED, moves.take_back)


@require_POST
def broken(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Write down jars that broke."""
    return _write(request, loan_id, What.BROKEN, moves.write_broken)


@require_POST
def keep(request: CoopRequest, loan_id: int) -> HttpResponse:
    """Let the borrower keep jars."""
    return _write(request, loan_id, What.KEPT, moves.let_keep)


def _write(request: CoopRequest, loan_id: int, what: What, act: Act) -> HttpResponse:
    found = loan_for(request.member, loan_id)
    form = _form(standing_of(found), what, data=request.POST)

    def write() -> None:
        typed = form.cleaned_data
        told = Told(form.counts(), note=typed["note"], seen=typed["seen"])
        act(found.pk, told, by=request.member)

    if saved(form, write):
        messages.success(request, "Written down.")
        return redirect("jars:loan", request.coop.slug, found.pk)
    return refused(request, PAGE, _context(request, found, {what: form}))


def _spare_for(found: Loan) -> dict[str, int]:
    """What the lender can spare now of the kinds of a loan."""
    held = stock_of(found.lender).kinds
    return {line.kind: held[line.kind].spare for line in found.lines.all() if line.kind in held}


def _form(standing: Standing, what: What, *, data: Any = None) -> MoveForm:
    may = possible(standing, what)
    filled_in = may if what in FILLED_IN else {}
    return MoveForm(
        data,
        kinds={kind: may.get(kind, 0) for kind in standing.agreed},
        initial={**filled_in, "seen": standing.latest_move},
        auto_id=f"{what}_%s",  # four forms on one page
    )


def _context(
    request: CoopRequest, found: Loan, typed: dict[What, MoveForm] | None = None
) -> dict[str, Any]:
    standing, member = standing_of(found), request.member
    forms = {what.value: _form(standing, what) for what in What if possible(standing, what)}
    can_write = rights.can_write_on(member, found)
    if not rights.can_give_away(member, found):
        forms.pop(What.KEPT.value, None)
    spare = _spare_for(found) if standing.stage == Stage.WAITING else {}
    side = Side(standing, member.household, today_in(request.coop, timezone.now()))
    return {
        "loan": found,
        "standing": standing,
        "side": side,
        "spare_now": lot_said(spare),
        "is_short": any(spare.get(kind, 0) < count for kind, count in standing.agreed.items()),
        "can_write": can_write,
        "can_answer": rights.can_answer(member, found),
        "forms": (forms if can_write else {})
        | {what.value: form for what, form in (typed or {}).items()},
        "back_said": _back_said(side),
        "again_url": _again_url(request, side),
        "story": story_of(found),
    }


def _back_said(side: Side) -> str:
    """What jars coming back are called by whoever writes it down."""
    if not side.is_ours:
        return "They came back"
    return "Take back" if side.is_lender else "Give back"


def _again_url(request: CoopRequest, side: Side) -> str:
    """A new loan of the jars that came back, for a return written down by mistake; or nothing."""
    loan = side.loan
    pairs: list[tuple[str, str | int]] = []
    for each in side.standing.kinds:
        pairs += [("kind", each.kind), ("count", each.returned)] if each.returned else []
    if not pairs:
        return ""
    if side.is_ours and side.is_lender:
        page = reverse("jars:offer", args=[request.coop.slug, loan.borrower_id])
    else:
        page = reverse("jars:borrow", args=[request.coop.slug, loan.lender_id])
        pairs += [] if side.is_ours else [("for", loan.borrower_id)]
    return f"{page}?{urlencode(pairs)}"
