"""The pages as people use them: one small class a page, named by what is done there.

Everything is found by what it is called, as a person or a screen reader finds it.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

Rows = dict[str, list[str]]

#: What each cell of a table says, row by row; pictures and badges have nothing to say.
CELLS = """table => {
  const said = (cell) => {
    const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT), found = [];
    while (texts.nextNode())
      if (!texts.currentNode.parentElement.closest(".unseen, .badge, svg"))
        found.push(texts.currentNode.textContent);
    return found.join(" ");
  };
  const parts = [...table.tBodies, table.tFoot].filter(Boolean);
  return parts.flatMap((part) => [...part.rows].map((row) => [...row.cells].map(said)));
}"""


@dataclass(frozen=True)
class On:
    """Somebody's page, of whatever address."""

    page: Any

    def go(self, path: str) -> None:
        """Open an address, which must be there."""
        assert self.page.goto(path).ok, path

    def follow(self, name: str) -> None:
        """Follow the first link of that name."""
        self.page.get_by_role("link", name=name).first.click()

    def press(self, name: str) -> None:
        """Press the one button of that name."""
        self.page.get_by_role("button", name=name).click()

    def fill(self, label: str, value: object) -> None:
        """Write into the field of that label."""
        self.page.get_by_label(label, exact=True).fill(str(value))

    def tick(self, label: str) -> None:
        """Tick a box, or choose one of several."""
        self.page.get_by_label(label).check()

    def says(self, text: str) -> bool:
        """Whether the page says so."""
        return text in _plain(self.page.locator("main").inner_text())

    @property
    def heading(self) -> str:
        """Its one first heading."""
        return _plain(self.page.locator("h1").inner_text())

    def rows(self, table: Any) -> Rows:
        """A table by the first cell of each row: the texts of its other cells."""
        cells = table.evaluate(CELLS)
        return {_plain(first): [_plain(each) for each in rest] for first, *rest in cells}


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip()


class SignIn(On):
    """The door."""

    def by_password(self, email: str, password: str) -> None:
        """Come in."""
        self.go("/account/login/")
        self.fill("Email", email)
        self.fill("Password", password)
        self.press("Sign in")
        self.page.wait_for_url(lambda url: "/account/" not in url)


class Farms(On):
    """Farms and their price lists."""

    def put_on_the_list(self, coop: str, name: str, miles: int) -> None:
        """A farm, and how far it is there and back."""
        self.go(f"/{coop}/farms/new/")
        self.fill("Name", name)
        self.fill("Round trip", miles)
        self.press("Add, then its prices")

    def add_offer(self, produce: str, container: str, pounds: str, prices: Mapping) -> None:
        """One line of the price list: {from this many: dollars each}. The farm's page is open."""
        if self.page.get_by_role("link", name="Add an offer").count():
            self.follow("Add an offer")
        self.fill("Produce", produce)
        self.fill("Container", container)
        self.fill("In one container", pounds)
        (_, first), *breaks = prices.items()
        self.fill("Price of one container", first)
        for row, (count, dollars) in enumerate(breaks, start=1):
            self.fill(f"From this many ({row})", count)
            self.fill(f"Each then costs ({row})", dollars)
        self.press("Save the offer")


class NewBuy(On):
    """Posting a buy."""

    def post(self, coop: str, title: str, *, times: Sequence[datetime], **fields: str) -> str:
        """Post it; `times` are the close, the pickup's start and its end. Returns its address."""
        self.go(f"/{coop}/buys/new/")
        self.fill("Title", title)
        self.fill("Pickup place", "The barn behind the grange hall")
        for label, moment in zip(("Asks close", "Pickup from", "Pickup until"), times, strict=True):
            self.fill(label, moment.strftime("%Y-%m-%dT%H:%M"))
        self.tick("One household fronts the money")
        self.page.get_by_label("Who fronts it").select_option(label=fields["fronted_by"])
        self.page.get_by_label("How much at most").fill(fields["at_most"])
        self.fill("Not coming costs", fields["no_show"])
        self.press("Post it, then its lines")
        return re.search(rf"/{coop}/buys/\d+/", self.page.url).group()

    def add_line(self, buy: str, *offers: str) -> None:
        """Put a line in, drawing on the offers whose words begin so."""
        self.go(f"{buy}lines/new/")
        for offer in offers:
            self.page.get_by_label(re.compile(rf"^{re.escape(offer)}")).check()
        self.press("Put it in")


class Buy(On):
    """The page of one buy."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(buy)

    def close_asks(self) -> None:
        """Close them now."""
        self.press("Close asks now")

    @property
    def stage(self) -> str:
        """How far it has come."""
        return _plain(self.page.locator("[aria-current=step] .rail-word").inner_text())


class Ask(On):
    """Saying how much one wants."""

    def place(self, buy: str, produce: str, wanted: str, **terms: str) -> None:
        """Ask for a line; `terms` are at_least, at_most, whole, or_none, purpose."""
        self.go(buy)
        self.page.get_by_role("link", name=f"Ask for {produce}").first.click()
        self.fill("You want", wanted)
        for name, value in terms.items():
            self._set(name, value)
        rules = self.page.get_by_label("I have read the rules")
        if rules.count():
            rules.check()
        self.press("Save my ask")
        self.page.wait_for_url(lambda url: not url.endswith("/ask/"))

    def _set(self, name: str, value: str) -> None:
        if name == "whole":
            self.page.get_by_label(f"Whole containers only: {value}").check()
        elif name == "or_none":
            self.page.get_by_label("All or nothing").check()
        else:
            self.page.locator(f"[name={name}]").fill(value)


class Standing(On):
    """How a buy stands while asks come in."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(f"{buy}standing/")

    def households(self) -> Rows:
        """By household: what it would get, would pay, and whether that is covered."""
        return self.rows(self.page.get_by_role("table", name="What each household would get"))


class Lots(On):
    """Lot plans."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(f"{buy}lots/")

    def plans(self, produce: str) -> Rows:
        """The plans of a line: brings, against the asks, cost of the whole buy."""
        return self.rows(self.page.get_by_role("table", name=f"Plans for {produce}"))

    def effects(self, produce: str) -> Rows:
        """What each household would get and pay with one container more or less."""
        name = f"What each household would get of {produce}"
        return self.rows(self.page.get_by_role("table", name=name))

    def recommended(self, produce: str) -> str:
        """The words of the recommended plan."""
        return next(words for words in self.plans(produce) if "recommended" in words)

    def go_on(self) -> None:
        """To the call-in, with what is picked."""
        self.follow("Go on to the call-in")


class CallIn(On):
    """Placing the order."""

    def done(self, spoke_to: str) -> None:
        """It is agreed with the farms."""
        self.page.get_by_label("Whom you spoke to").fill(spoke_to)
        self.press("It is called in")


class Tally(On):
    """Counting at the barn."""

    def count(self, buy: str, line: str, came: Mapping[str, Any]) -> None:
        """Write down one delivery: containers, tare, (containers, pounds) on the scale, bill."""
        self.go(f"{buy}tally/")
        self.page.get_by_role("link", name=re.compile(f"^(Count|Mend) {line}")).click()
        self.page.locator("[name=containers]").fill(came["containers"])
        if "tare" in came:
            self.page.locator("[name=tare]").fill(came["tare"])
        for row, (containers, pounds) in enumerate(came["scale"]):
            if not self.page.locator(f"[name=gross_{row}]").count():
                self.press("More lines")
            self.page.locator(f"[name=count_{row}]").fill(containers)
            self.page.locator(f"[name=gross_{row}]").fill(pounds)
        self.page.locator("[name=bill]").fill(came["bill"])
        self.page.locator(f"[name=bill_is][value={came['bill_is']}]").check()
        if "culls" in came:
            self._more("culls", came["culls"])
        self.press("Write it down")

    def _more(self, name: str, value: str) -> None:
        field = self.page.locator(f"[name={name}]")
        if not field.is_visible():
            self.page.locator("summary", has_text="Refused").click()
        field.fill(value)

    def finish(self) -> None:
        """Everything is in."""
        self.press("Everything is counted")


class Divide(On):
    """Every rule side by side, and the one that stands."""

    def open(self, buy: str, produce: str = "") -> None:
        """Go there, to one line of it."""
        self.go(f"{buy}divide/")
        if produce:
            self.page.get_by_role("link", name=re.compile(f"{produce}$")).last.click()

    def table(self) -> Rows:
        """What each would get."""
        return self.rows(self.page.locator("table.sharing"))

    def publish(self, rule: str = "", why: str = "") -> None:
        """Choose a rule, unless there is nothing to choose, and publish it."""
        if rule:
            self.page.locator(f"[name=rule][value={rule}]").check()
        if why:
            self.page.locator("[name=why]").fill(why)
        self.press("Publish this division")


class Pickup(On):
    """Who comes for what."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(f"{buy}pickup/")

    def card(self, household: str) -> Any:
        """What waits for one household."""
        name = self.page.get_by_role("heading", name=household, exact=True, level=3)
        return self.page.get_by_role("article").filter(has=name)

    def text(self, household: str) -> str:
        """All that its card says."""
        return _plain(self.card(household).inner_text())

    def fetched(self, household: str) -> None:
        """It came for everything."""
        self.card(household).get_by_role("button", name=re.compile("etched by")).click()
        self.card(household).get_by_text("fetched", exact=True).first.wait_for()

    def took_cash(self, household: str, amount: str) -> None:
        """One tap: it paid what it owes."""
        self.card(household).get_by_role("button", name=f"Took {amount}").click()
        self.card(household).get_by_text("Owes nothing").wait_for()

    def release(self) -> None:
        """What is not fetched goes to the spare table."""
        self.press("Put it on the spare table")


class SpareTable(On):
    """What nobody has claimed."""

    def claim(self, buy: str, produce: str, pounds: str, *, of: str) -> None:
        """Claim some of what stands there: `of` is how much there is in all."""
        self.go(f"{buy}spare/")
        self.page.get_by_role("link", name=f"Claim {produce}, {of}").click()
        self.page.locator("[name=amount]").fill(pounds)
        self.press("Claim it")
