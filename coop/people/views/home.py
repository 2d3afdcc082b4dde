"""The first page, one's own name, and a new co-op."""

from __future__ import annotations

from typing import cast

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from coop.people.actions.coops import start_coop
from coop.people.actions.members import rename
from coop.people.forms.coops import StartForm
from coop.people.forms.households import NameForm
from coop.people.models import User
from coop.people.queries import memberships_of
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved


@login_not_required
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """What the site is; for a member of one co-op, straight to its This week."""
    if not request.user.is_authenticated:
        return render(request, "people/welcome.html")
    memberships = list(memberships_of(request.user))
    if len(memberships) == 1:
        return redirect("people:week", memberships[0].coop.slug)
    return render(request, "people/home.html", {"memberships": memberships})


@require_http_methods(["GET", "POST"])
def start(request: HttpRequest) -> HttpResponse:
    """Start a co-op."""
    user = cast(User, request.user)
    form = StartForm(request.POST or None)
    if request.method == "POST" and saved(form, lambda: _start(form, user)):
        return redirect("people:week", form.cleaned_data["slug"])
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "people/start.html", {"form": form}, status=status)


def _start(form: StartForm, user: User) -> None:
    values = form.cleaned_data
    start_coop(
        form.settings(), slug=values["slug"], household_name=values["household_name"], by=user
    )


@require_http_methods(["GET", "POST"])
def me(request: HttpRequest) -> HttpResponse:
    """One's own name, and the way to one's addresses and password."""
    user = cast(User, request.user)
    form = NameForm(request.POST or None, initial={"name": user.name})
    if request.method == "POST" and saved(form, lambda: rename(user, form.cleaned_data["name"])):
        messages.success(request, "Your name is saved.")
        return redirect("people:me")
    context = {"form": form, "memberships": memberships_of(user)}
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "people/me.html", context, status=status)
