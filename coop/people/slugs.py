"""Addresses of co-ops: `/<slug>/…`, beside the site's own first words."""

from __future__ import annotations

from django.utils.text import slugify

from coop.people.models import Coop

#: First words of addresses that are the site's own, now or likely later.
RESERVED = frozenset(
    {
        "about",
        "account",
        "admin",
        "api",
        "calendar",
        "coop",
        "coops",
        "feeds",
        "health",
        "help",
        "home",
        "invitations",
        "join",
        "login",
        "logout",
        "me",
        "media",
        "new",
        "schema",
        "search",
        "settings",
        "sign-in",
        "sign-out",
        "start",
        "static",
        "status",
        "stop-mail",
        "www",
    }
)
LONGEST = Coop._meta.get_field("slug").max_length or 0


def slug_from(name: str) -> str:
    """An address made of a co-op's name; empty where the name has no letter that fits in one.

    >>> slug_from("Cottonwood Larder & Friends"), slug_from("???")
    ('cottonwood-larder-friends', '')
    """
    return slugify(name)[:LONGEST].strip("-")
