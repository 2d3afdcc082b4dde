"""Writing to those whom something concerns: the form, a look at who gets it, and the letter."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coop.notices.actions import writing as acts
from coop.notices.circles import NOT_THEIRS, Concern, concern_for
from coop.notices.errors import AlreadyWritten
from coop.notices.forms.writing import WritingForm
from coop.notices.models import Matter, Writing
from coop.notices.queries.letters import concern_of, writing_for
from coop.notices.queries.reach import counts_of, members_of, reach_of
from coop.notices.queries.told import groups_of
from coop.notices.queries.unreached import unreached_in
from coop.notices.rights import can_see_told
from coop.people.middleware import CoopRequest
from coop.people.rights import require
from coop.web.pages import UNPROCESSABLE, refused
from coop.web.refusals import saved

#: The button that leads from the look back to the form, with all that was typed.
CHANGE = "change"


@require_http_methods(["GET", "POST"])
def write(request: CoopRequest, circle: str, circle_id: int) -> HttpResponse:
    """The form of a letter; sent, it goes out to those whom the look showed."""
    concern = _to_write(request, circle, circle_id)
    if request.method == "GET" or CHANGE in request.POST:
        typed = request.POST.dict() or {"part": request.GET.get("part", "")}
        form = _form(request, concern, initial=typed)
        return render(request, "notices/write.html", {"concern": concern, "form": form})
    form = _form(request, concern, data=request.POST)
    sent: list[Writing] = []
    try:
        if not saved(form, lambda: sent.append(_send(request, concern, form))):
            return _refused(request, concern, form)
    except AlreadyWritten as before:
        messages.info(request, before.sentence)
        sent.append(before.writing)
    else:
        messages.success(request, "Sent. Each gets it in the way they chose.")
    return redirect("notices:writing", request.coop.slug, sent[0].pk)


@require_POST
def look(request: CoopRequest, circle: str, circle_id: int) -> HttpResponse:
    """Show the letter and who gets it. It changes nothing, and all that was typed is kept."""
    concern = _to_write(request, circle, circle_id)
    form = _form(request, concern, data=request.POST)
    if form.is_valid():
        return _look_page(request, concern, form)
    return _refused(request, concern, form)


@require_safe
def writing(request: CoopRequest, writing_id: int) -> HttpResponse:
    """A letter as it went out; for who may write to them, who was told as well."""
    letter = writing_for(request.member, writing_id)
    concern = concern_of(request.member, letter)
    may_see = can_see_told(request.member) or (concern is not None and concern.may_write)
    matters = Matter.objects.filter(about=acts.about_of(letter))
    groups = groups_of(request.coop, matters, timezone.now()) if may_see else []
    context = {
        "letter": letter,
        "concern": concern,
        "may_write": concern is not None and concern.may_write,
        "answer": acts.how_to_answer(letter.by) if letter.by_id != request.member.pk else "",
        "group": groups[0] if groups else None,
    }
    return render(request, "notices/writing.html", context)


def _to_write(request: CoopRequest, circle: str, circle_id: int) -> Concern:
    concern = concern_for(request.member, circle, circle_id)
    require(concern.may_write, NOT_THEIRS)
    return concern


def _form(request: CoopRequest, concern: Concern, **options: Any) -> WritingForm:
    return WritingForm(parts=counts_of(request.coop, concern.parts()), **options)


def _send(request: CoopRequest, concern: Concern, form: WritingForm) -> Writing:
    return acts.write(
        concern,
        form.letter(),
        by=request.member,
        seen=form.cleaned_data["seen"],
        once=form.number,
    )


def _refused(request: CoopRequest, concern: Concern, form: WritingForm) -> HttpResponse:
    """The form with what is wrong in it; where no field is, the look anew."""
    if set(form.errors) == {NON_FIELD_ERRORS}:
        return _look_page(request, concern, form, status=UNPROCESSABLE)
    return refused(request, "notices/write.html", {"concern": concern, "form": form})


def _look_page(
    request: CoopRequest, concern: Concern, form: WritingForm, *, status: int = 200
) -> HttpResponse:
    letter = form.letter()
    part = next(each for each in concern.parts() if each.code == letter.part)
    reach = reach_of(request.coop, part)
    people = {each.pk for household in reach.reached for each in members_of(household)}
    context = {
        "concern": concern,
        "form": form,
        "letter": letter,
        "reach": reach,
        "unreached": unreached_in(request.coop, people),
    }
    return render(request, "notices/write_look.html", context, status=status)
