"""The signed address in each letter that stops mail of the kinds it carries (RFC 8058).

Whoever holds the letter may stop these kinds, and turn them on again, without signing in; the
address opens nothing else. It does not expire: an old letter stops its kinds as well as a new one.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.conf import settings
from django.core import signing
from django.urls import reverse

from coop.people.models import Coop, Member

SALT = "coop.notices.stopping"


def stop_address(member: Member, kinds: Iterable[str]) -> str:
    """The whole address that stops mail of these kinds to a member."""
    path = reverse("outside:stop_mail", args=[token_of(member, kinds)])
    return f"{settings.SITE_ADDRESS}{path}"


def choices_path(coop: Coop) -> str:
    """The page on which a member chooses for every kind."""
    return reverse("notices:choices", args=[coop.slug])


def token_of(member: Member, kinds: Iterable[str]) -> str:
    """The signed part: whose mail, and of which kinds."""
    named = [member.pk, *sorted(set(kinds))]
    return signing.Signer(salt=SALT).sign_object(named, compress=True)


def stopped_by(token: str) -> tuple[Member, list[str]] | None:
    """The member and the kinds that a token was signed for; None where it is not ours, or torn."""
    try:
        pk, *kinds = signing.Signer(salt=SALT).unsign_object(token)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    member = Member.objects.select_related("coop", "user").filter(pk=pk).first()
    return None if member is None else (member, kinds)
