"""What every template may use: the co-op, the member, and the places to go."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from coop.notices.queries.inbox import count_to_read
from coop.people.models import Member


@dataclass(frozen=True)
class Place:
    """One place of the site: its words, its icon, its address, and which pages belong to it."""

    words: str
    icon: str
    url_name: str
    pages: frozenset[str] = frozenset()
    in_bottom_bar: bool = True


#: In the order shown. Four stand in a phone's bottom bar, which has no room for more words at 360
#: px; the others under More.
PLACES = (
    Place("This week", "date", "people:week", frozenset({"notices"})),
    Place("Buys", "basket", "buying:buys", frozenset({"buying"})),
    Place(
        "Equipment",
        "canner",
        "equipment:board",
        frozenset({"equipment"}),
        in_bottom_bar=False,
    ),
    Place("Jars", "jar", "jars:jars", frozenset({"jars", "kitchen"})),
    Place("Money", "purse", "money:money", frozenset({"money"})),
    Place("Households", "people", "people:households", frozenset({"people"}), in_bottom_bar=False),
)


@dataclass(frozen=True)
class Link:
    """A place as a page shows it."""

    place: Place
    url: str
    is_current: bool


def here(request: HttpRequest) -> dict[str, Any]:
    """Give templates `coop`, `member`, `places`, `unread` and `other_coops`; empty outside a co-op.

    `unread`: how many notices the member has to read, looked up where a page shows it.
    """
    coop, member = getattr(request, "coop", None), getattr(request, "member", None)
    if coop is None or member is None:
        return {"coop": None, "member": None, "places": [], "unread": 0, "other_coops": []}
    return {
        "coop": coop,
        "member": member,
        "places": links(coop.slug, _page_of(request)),
        "unread": cache(lambda: count_to_read(member, timezone.now())),  # a template calls it
        "other_coops": SimpleLazyObject(lambda: _other_coops(request, coop)),
    }


def links(slug: str, page: str) -> list[Link]:
    """The places of one co-op that have pages, the one that the page belongs to marked."""
    current = _place_of(page)
    return [Link(place, url, place is current) for place in PLACES if (url := _url(place, slug))]


def _url(place: Place, slug: str) -> str:
    try:
        return reverse(place.url_name, args=[slug])
    except NoReverseMatch:
        return ""


def _page_of(request: HttpRequest) -> str:
    match = request.resolver_match
    return match.view_name if match else ""


def _place_of(page: str) -> Place | None:
    """The place with the page's own name, else the one that its part of the site belongs to."""
    for place in PLACES:
        if place.url_name == page:
            return place
    part = page.partition(":")[0]
    return next((place for place in PLACES if part in place.pages), None)


def _other_coops(request: HttpRequest, coop: Any) -> list[Any]:
    memberships = Member.objects.filter(user=request.user.pk, left_at__isnull=True)
    others = memberships.exclude(coop=coop.pk).select_related("coop").order_by("coop__name")
    return [member.coop for member in others]
