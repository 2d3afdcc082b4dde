"""The page behind the signed address of a letter: stop its kinds of mail, or turn one on again.

Who holds the letter need not sign in, and a mail program that calls for its reader has no cookie.
So these acts ask for no token of a form: nobody can forge a call to an address that only the
letter holds.
"""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST

from coop.notices.actions.choices import resume_mail, stop_mail
from coop.notices.mailing.stopping import choices_path, stopped_by
from coop.notices.queries.stopping import mail_of
from coop.people.models import Member

NOT_FOUND = 404


@csrf_exempt
@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """What the address stops; by POST, stop it, without a detour (RFC 8058 allows none)."""
    if (signed := stopped_by(token)) is None:
        return _unusable(request)
    member, kinds = signed
    if request.method == "POST":
        stop_mail(member, kinds)
    return _page(request, member, kinds, token=token)


@csrf_exempt
@login_not_required
@never_cache
@require_POST
def again(request: HttpRequest, token: str) -> HttpResponse:
    """Turn mail of one of these kinds on again."""
    if (signed := stopped_by(token)) is None:
        return _unusable(request)
    member, kinds = signed
    if (kind := request.POST.get("kind", "")) in kinds:
        resume_mail(member, kind)
        messages.success(request, "It is on again.")
    return redirect("outside:stop_mail", token)


def _page(request: HttpRequest, member: Member, kinds: list[str], *, token: str) -> HttpResponse:
    mail = mail_of(member, kinds)
    context = {
        "mail": mail,
        "on": [each for each in mail if each.comes],
        "member": member,
        "of": member.coop,
        "token": token,
        "choices": choices_path(member.coop),
        "just_now": request.method == "POST",
    }
    return render(request, "notices/stop.html", context)


def _unusable(request: HttpRequest) -> HttpResponse:
    return render(request, "notices/stop_not.html", status=NOT_FOUND)
