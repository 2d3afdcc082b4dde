"""Joining a co-op by the link of an invitation, with an account or by making one."""

from __future__ import annotations

from typing import cast

from allauth.account.adapter import get_adapter
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from coop.people.actions.invitations import join as use_invitation
from coop.people.actions.invitations import join_as_new_user
from coop.people.forms.invitations import JoinForm, SignUpForm
from coop.people.invitations import gone, invitation_of, owner_of, token_of
from coop.people.limits import HOUR_SECONDS, spend
from coop.people.models import Invitation, Member, User
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved

GONE, NOT_FOUND, FORBIDDEN = 410, 404, 403
MOST_TRIES_AN_HOUR = 60
WHY = {
    "broken": (NOT_FOUND, "This link is not whole, or a newer one was sent."),
    "used": (GONE, "This invitation was used already."),
    "withdrawn": (GONE, "This invitation was withdrawn."),
    "expired": (GONE, "This invitation has expired."),
    "other": (FORBIDDEN, "This invitation was sent to another address than yours."),
}


@login_not_required
@never_cache
@require_GET
def join(request: HttpRequest, token: str) -> HttpResponse:
    """What the invitation is to, and the way in."""
    invitation = invitation_of(token)
    if invitation is None or (why := _why_not(request, invitation)):
        return _unusable(request, "broken" if invitation is None else why)
    form = (JoinForm if request.user.is_authenticated else SignUpForm)(invitation)
    return _page(request, invitation, form)


@never_cache
@require_POST
def accept(request: HttpRequest, token: str) -> HttpResponse:
    """Join with the account that is signed in."""
    invitation = invitation_of(token)
    if invitation is None or (why := _why_not(request, invitation)):
        return _unusable(request, "broken" if invitation is None else why)
    form = JoinForm(invitation, request.POST)
    user = cast(User, request.user)
    if saved(form, lambda: use_invitation(invitation, household_name=form.household_name, by=user)):
        return redirect("people:week", invitation.coop.slug)
    return _page(request, invitation, form)


@login_not_required
@never_cache
@require_POST
def sign_up(request: HttpRequest, token: str) -> HttpResponse:
    """Make an account, join with it, and be signed in."""
    spend(f"sign-up:{_address(request)}", at_most=MOST_TRIES_AN_HOUR, seconds=HOUR_SECONDS)
    invitation = invitation_of(token)
    if invitation is None or (why := _why_not(request, invitation)):
        return _unusable(request, "broken" if invitation is None else why)
    form = SignUpForm(invitation, request.POST)
    joined: list[Member] = []
    if saved(form, lambda: joined.append(_new_user(invitation, form))):
        get_adapter(request).login(request, joined[0].user)
        return redirect("people:week", invitation.coop.slug)
    return _page(request, invitation, form)


def _new_user(invitation: Invitation, form: SignUpForm) -> Member:
    return join_as_new_user(
        invitation,
        name=form.cleaned_data["name"],
        password=form.cleaned_data["password"] or None,
        household_name=form.household_name,
    )


def _address(request: HttpRequest) -> str:
    """The client's address, as coop.web.middleware established it."""
    return str(getattr(request, "client_address", ""))


def _why_not(request: HttpRequest, invitation: Invitation) -> str:
    """Why whoever asks cannot use the invitation: a key of WHY, or "" when they can."""
    if why := gone(invitation, timezone.now()):
        return why
    if request.user.is_authenticated and owner_of(invitation) != request.user:
        return "other"
    return ""


def _unusable(request: HttpRequest, why: str) -> HttpResponse:
    status, sentence = WHY[why]
    context = {"why": why, "sentence": sentence}
    return render(request, "people/join_not.html", context, status=status)


def _page(request: HttpRequest, invitation: Invitation, form: JoinForm) -> HttpResponse:
    context = {
        "invitation": invitation,
        "form": form,
        "token": token_of(invitation),
        "here": reverse("people:join", args=[token_of(invitation)]),
        "has_account": owner_of(invitation) is not None,
        "is_signed_in": request.user.is_authenticated,
    }
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "people/join.html", context, status=status)
