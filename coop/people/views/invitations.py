"""Inviting, and what is done with an invitation until it is used."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from coop.people import invitations
from coop.people.actions.invitations import (
    SENDER_OR_COORDINATOR,
    invite,
    renew_invitation,
    withdraw_invitation,
)
from coop.people.forms.invitations import InviteForm
from coop.people.middleware import CoopRequest
from coop.people.models import Household, Invitation
from coop.people.queries import household_for, invitation_for
from coop.people.rights import can_withdraw, require
from coop.web.pages import UNPROCESSABLE
from coop.web.refusals import saved


@require_http_methods(["GET", "POST"])
def new_invitation(request: CoopRequest) -> HttpResponse:
    """Invite somebody, into a household or with a new one."""
    into = _into(request)
    form = InviteForm(request.member, request.POST or None, into=into)
    sent: list[Invitation] = []
    if request.method == "POST" and saved(
        form, lambda: sent.append(invite(form.guest(), by=request.member))
    ):
        _send(request, sent[0])
        return redirect("people:households", request.coop.slug)
    status = UNPROCESSABLE if form.is_bound else 200
    return render(request, "people/invite.html", {"form": form, "into": into}, status=status)


def _into(request: CoopRequest) -> Household | None:
    """The household that the address names; a member's own where it names none."""
    named = request.GET.get("household", "")
    if not named:
        return None if request.member.coordinator else request.member.household
    if not named.isdecimal():
        raise Http404
    return household_for(request.member, int(named))


@require_POST
def withdraw(request: CoopRequest, invitation_id: int) -> HttpResponse:
    """Make an invitation useless."""
    invitation = withdraw_invitation(_theirs(request, invitation_id), by=request.member)
    messages.success(request, f"The invitation of {invitation.email} is withdrawn.")
    return redirect("people:households", request.coop.slug)


@require_POST
def resend(request: CoopRequest, invitation_id: int) -> HttpResponse:
    """Send an invitation again, good for two weeks from now."""
    invitation = renew_invitation(_theirs(request, invitation_id), by=request.member)
    _send(request, invitation)
    return redirect("people:households", request.coop.slug)


def _theirs(request: CoopRequest, invitation_id: int) -> int:
    invitation = invitation_for(request.member, invitation_id)
    require(can_withdraw(request.member, invitation), SENDER_OR_COORDINATOR)
    return invitation.pk


def _send(request: CoopRequest, invitation: Invitation) -> None:
    """Mail the link, after the invitation is saved, and say what became of it."""
    path = reverse("people:join", args=[invitations.token_of(invitation)])
    if invitations.send_letter(invitation, request.build_absolute_uri(path)):
        messages.success(request, f"The invitation is on its way to {invitation.email}.")
    else:
        messages.error(
            request,
            f"The invitation of {invitation.email} is saved, but no letter could be sent. "
            "Send it again later.",
        )
