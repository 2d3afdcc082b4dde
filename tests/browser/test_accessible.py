"""Every page that a member can open, as axe-core judges it: on a phone and a desk, light and dark.

A page that is built as one that was judged before is not judged again (see `skeleton`); but each is
opened, and nothing is wider than a phone. What the console says, and what the content policy
refuses, fails the test by itself: see `new_page`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe

from coop.people.models import ROLES, Member
from tests.browser import walk
from tests.browser.conftest import DESK, PHONE
from tests.browser.notice_pages import Choices, Writing
from tests.browser.skeleton import skeleton_of

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

#: A place of the site, and how many pages it has at the least: fewer would be a walk astray.
PLACES = {
    "account": 8,
    "people": 17,
    "notices": 10,
    "money": 9,
    "jars": 10,
    "jars:open": 3,
    "kitchen": 40,
    "kitchen:open": 25,
    "equipment": 45,
    "equipment:open": 15,
    "buy:asking": 25,
    "buy:called_in": 25,
    "buy:collected": 25,
    "buy:divided": 25,
    "buy:squared": 25,
    "buy:called_off": 25,
}
#: Places whose pages are built of the same parts as others: judged on a phone alone.
LIKE_THE_OTHERS = {
    *("buy:called_in", "buy:collected", "buy:squared", "buy:called_off"),
    *("jars:open", "kitchen:open", "equipment:open"),
}
#: What a plain member sees less of, and otherwise.
PLAIN_PLACES = {
    ("people", "notices", "money", "jars:open"): 23,
    ("buy:asking", "buy:divided"): 28,
    ("kitchen:open",): 12,
    ("equipment", "equipment:open"): 20,
}
#: Places of so many pages that more than one test walks them: workers have the same to do.
SHARED = {"kitchen": 2, "kitchen:open": 2, "equipment": 2}
PARTS = [
    (place, part, parts)
    for place in PLACES
    for parts in [SHARED.get(place, 1)]
    for part in range(parts)
]
OK, REFUSALS = 200, {403, 404, 409, 422}
SERIOUS = {"serious", "critical"}
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
AXE = Axe()
# What passed stays in the browser: sending it over takes as long as finding it.
RUN_AXE = """(options) => axe.run(document, {resultTypes: ["violations"], ...options})
  .then((found) => found.violations)"""
#: The rules that a dark scheme can break and a light one keep.
COLOURS = ["color-contrast", "link-in-text-block"]
#: The rules that hang on how wide the page is; for the others it is the same page.
LAYOUT = ["target-size", "scrollable-region-focusable", "region", "skip-link"]
RULES: dict[str, dict[str, Any]] = {
    "all": {},
    "colours": {"runOnly": COLOURS},
    "colours and layout": {"runOnly": [*COLOURS, *LAYOUT]},
    "all but colours": {"rules": {rule: {"enabled": False} for rule in COLOURS}},
}


class Look(NamedTuple):
    """A way to look at a page, and which rules it is held against."""

    width: int
    scheme: str
    rules: str


# Colours take the longest, and are the same at every width: each scheme is judged at one of them.
# The first way is on a phone: there it is seen whether a page is too wide.
EVERY_WAY = (
    Look(PHONE, "light", "all but colours"),
    Look(PHONE, "dark", "colours"),
    Look(DESK, "light", "colours and layout"),
)
ON_A_PHONE = (Look(PHONE, "light", "all"),)
#: The width and scheme at which this process has judged a page, and how that page is built.
JUDGED: set[tuple[int, str, str]] = set()


@pytest.mark.parametrize(("place", "part", "parts"), PARTS)
def test_pages_for_who_runs_everything(place, part, parts, demo, page_of):
    looks = ON_A_PHONE if place in LIKE_THE_OTHERS else EVERY_WAY
    judged = Judged(page_of(_of_both_roles(demo)), looks)
    judged.all_of([*walk.paths(place, demo), *walk.asked(place, demo)][part::parts])
    assert judged.pages >= PLACES[place] // parts - 1
    assert not judged.troubles


@pytest.mark.parametrize("places", PLAIN_PLACES)
def test_pages_for_a_plain_member(places, demo, page_of):
    judged = Judged(page_of(_of_no_role(demo)), ON_A_PHONE)
    for place in places:
        judged.all_of(walk.paths(place, demo))
    judged.all_of(["/nowhere/"])
    assert judged.pages >= PLAIN_PLACES[places]
    assert not judged.troubles


def test_what_opens_only_by_a_step_of_notices(demo, page_of):
    judged = Judged(page_of(_of_both_roles(demo)))
    writing = next(path for path in walk.paths("notices", demo) if "/write/" in path)
    judged.page.goto(writing)
    Writing(judged.page).look("Who asked", "Corn: come early", "Bring sacks.")
    assert judged.page.url.endswith("/look/")
    assert not list(judged.troubles_of("a letter before it goes out"))
    judged.page.goto(f"/{demo.slug}/notices/choices/")
    Choices(judged.page).open("Pickup")
    assert not list(judged.troubles_of("a kind of notice that is open"))


def test_pages_for_who_is_not_signed_in(demo, new_page):
    judged = Judged(new_page())
    judged.all_of(walk.paths("account", demo))
    assert judged.pages >= 10
    assert not judged.troubles


#: Faults that a page may come to have, and the rule that names each.
FAULTS = {
    "button-name": "document.querySelector('main button').textContent = ''",
    "link-name": "document.querySelector('main a').textContent = ''",
    "image-alt": "document.querySelector('main').append(new Image())",
    "color-contrast": "document.querySelector('main label').style.color = 'rgb(190, 190, 190)'",
}


@pytest.mark.parametrize(("rule", "script"), FAULTS.items())
def test_a_new_fault_of_a_page_that_was_judged_is_found(rule, script, page):
    page.goto("/account/login/")
    judged = Judged(page)
    assert not list(judged.troubles_of("as it is"))
    page.evaluate(script)
    assert any(rule in each for each in judged.troubles_of("with a fault"))


def test_other_words_are_no_other_page_but_too_wide_is_found_all_the_same(page):
    page.goto("/account/login/")
    judged = Judged(page)
    assert not list(judged.troubles_of("as it is"))
    page.evaluate("document.querySelector('h1').textContent = 'Come in'")
    page.evaluate("document.styleSheets[0].insertRule('h1 { width: 900px }')")
    assert not any(judged.is_new(look, skeleton_of(page)) for look in EVERY_WAY)
    [said] = judged.troubles_of("with a wide heading")
    assert "too wide for a phone" in said


def _of_both_roles(coop: Any) -> Member:
    """A coordinator who keeps the books as well sees the most."""
    member = Member.objects.filter(coop=coop, coordinator=True).earliest("pk")
    member.treasurer = True
    member.save()
    return member


def _of_no_role(coop: Any) -> Member:
    return Member.objects.filter(coop=coop, **dict.fromkeys(ROLES, False)).earliest("pk")


@dataclass
class Judged:
    """The pages that somebody sees, how many there were, and what is wrong with them."""

    page: Any
    looks: Sequence[Look] = EVERY_WAY
    pages: int = 0
    refusals: set[int] = field(default_factory=set)
    troubles: list[str] = field(default_factory=list)

    def all_of(self, paths: Iterable[str]) -> None:
        """Judge every address that answers with its own page; of each kind of refusal the first."""
        for path in paths:
            status = self.page.goto(path).status
            is_its_own = urlsplit(self.page.url).path == urlsplit(path).path
            if is_its_own and (status == OK or status in REFUSALS - self.refusals):
                self.refusals |= {status} - {OK}
                self.pages += 1
                self.troubles += self.troubles_of(path)

    def troubles_of(self, path: str) -> Iterator[str]:
        """What is wrong with the page that is open; `path` is how to call it."""
        self._look(self.looks[0])
        if over := self.page.evaluate(OVERFLOW):
            yield f"{path} is {over} px too wide for a phone"
        built = skeleton_of(self.page)
        looks = [look for look in self.looks if self.is_new(look, built)]
        if looks:
            self.page.evaluate(AXE.axe_script)
        for look in looks:
            JUDGED.add((look.width, look.scheme, built))
            self._look(look)
            found = self.page.evaluate(RUN_AXE, RULES[look.rules])
            yield from (
                f"{path}, {look.width} px, {look.scheme}: {said}" for said in _serious(found)
            )

    @staticmethod
    def is_new(look: Look, built: str) -> bool:
        """Whether no page that is built so was judged at that width and scheme."""
        return (look.width, look.scheme, built) not in JUDGED

    def _look(self, look: Look) -> None:
        self.page.set_viewport_size({"width": look.width, "height": 900})
        self.page.emulate_media(color_scheme=look.scheme)


def _serious(violations: list[dict[str, Any]]) -> list[str]:
    return [
        f"{each['id']}: {node['target']} {node['failureSummary']}"
        for each in violations
        if each["impact"] in SERIOUS
        for node in each["nodes"]
    ]
