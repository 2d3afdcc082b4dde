"""Every page that a member can open, as axe-core judges it: on a phone and a desk, light and dark.

Also that nothing is wider than a phone. What the console says, and what the content policy
refuses, fails the test by itself: see `new_page`.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from coop.people.models import ROLES, Member
from tests.browser import walk
from tests.browser.conftest import DESK, PHONE

#: A place of the site, and how many pages it has at the least: fewer would be a walk astray.
PLACES = {
    "account": 5,
    "people": 15,
    "money": 6,
    "buy:asking": 20,
    "buy:called_in": 10,
    "buy:collected": 8,
    "buy:divided": 8,
    "buy:squared": 8,
    "buy:called_off": 4,
}
SERIOUS = {"serious", "critical"}
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
AXE = Axe()
TYPES = {"resultTypes": ["violations"]}


@pytest.mark.parametrize("place", PLACES)
def test_pages_for_who_runs_everything(place, demo, page_of, client):
    person = _of_both_roles(demo)
    client.force_login(person.user)
    paths = walk.pages(client, place, demo)
    assert len(paths) >= PLACES[place]
    assert not _all_troubles(page_of(person), paths)


def test_pages_for_a_plain_member(demo, page_of, client):
    person = _of_no_role(demo)
    client.force_login(person.user)
    paths = [path for place in PLACES for path in walk.pages(client, place, demo)]
    assert len(paths) >= 70
    assert not _all_troubles(page_of(person), paths, widths=(PHONE,), schemes=("light",))


def test_pages_for_who_is_not_signed_in(demo, new_page, client):
    paths = [*walk.pages(client, "account", demo), "/nowhere/"]
    assert len(paths) >= 5
    assert not _all_troubles(new_page(), paths)


def _of_both_roles(coop: Any) -> Member:
    """A coordinator who keeps the books as well sees the most."""
    member = Member.objects.filter(coop=coop, coordinator=True).earliest("pk")
    member.treasurer = True
    member.save()
    return member


def _of_no_role(coop: Any) -> Member:
    return Member.objects.filter(coop=coop, **dict.fromkeys(ROLES, False)).earliest("pk")


def _all_troubles(page: Any, paths: list[str], **looks: Any) -> list[str]:
    return [trouble for path in paths for trouble in _troubles(page, path, **looks)]


def _troubles(
    page: Any,
    path: str,
    *,
    widths: tuple[int, ...] = (PHONE, DESK),
    schemes: tuple[str, ...] = ("light", "dark"),
) -> Iterator[str]:
    page.goto(path)
    page.evaluate(AXE.axe_script)
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        if width == PHONE and (over := page.evaluate(OVERFLOW)):
            yield f"{path} is {over} px too wide for a phone"
        for scheme in schemes:
            page.emulate_media(color_scheme=scheme)
            yield from (f"{path} at {width}, {scheme}: {said}" for said in _violations(page))


def _violations(page: Any) -> list[str]:
    found = page.evaluate("options => axe.run(document, options)", TYPES)["violations"]
    return [
        f"{each['id']}: {node['target']} {node['failureSummary']}"
        for each in found
        if each["impact"] in SERIOUS
        for node in each["nodes"]
    ]
