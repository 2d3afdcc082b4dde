"""The pages of jars and of the kitchen as people use them, found by what they are called."""

import re
from datetime import date, datetime
from typing import Any

from tests.browser.pages import On, Rows


class Jars(On):
    """Places that are reached from the first page of jars."""

    def open(self, place: str = "") -> None:
        """By the links that everybody has."""
        self.page.get_by_role("link", name="Jars", exact=True).first.click()
        if place:
            self.page.get_by_role("main").get_by_role("link", name=place, exact=True).click()

    def add_kitchen(self, name: str, feet: str) -> None:
        """Put a kitchen on the list."""
        self.open("Kitchens")
        self.page.get_by_role("link", name=re.compile("^Add (a|the first) kitchen")).click()
        self.fill("Name", name)
        self.fill("Altitude", feet)
        self.press("Save")

    def live_at(self, north: str, east: str) -> None:
        """Say where one lives."""
        self.open("Where you live")
        self.fill("Latitude", north)
        self.fill("Longitude", east)
        self.press("Keep it")

    def count(self, kind: str, jars: dict[str, int], *, lids: dict[str, int]) -> None:
        """Count the jars of one kind, and lids and bands of the regular mouth."""
        self.open()
        self.page.get_by_role("main").get_by_role("link", name=re.compile("^Count")).first.click()
        self._group(kind, jars)
        self._group("Regular mouth", lids)
        self.press("Keep this count")

    def _group(self, title: str, numbers: dict[str, int]) -> None:
        group = self.page.get_by_role("group", name=title, exact=True)
        if not group.is_visible():
            self.page.locator("summary", has_text="Other kinds").click()
        for label, number in numbers.items():
            group.get_by_label(label, exact=True).fill(str(number))


class Plan(On):
    """The plan of a share, and what is made of it."""

    def begin(self, produce: str, kitchen: str) -> None:
        """Plan a share that is not planned yet."""
        Jars(self.page).open("Plans")
        self.page.get_by_role("link", name=re.compile(f"Plan it\\s*: {produce}")).click()
        self.page.get_by_label("Kitchen").select_option(label=kitchen)
        self.press("Plan it")

    def open(self, title: str) -> None:
        """A plan of the list, by its title."""
        Jars(self.page).open("Plans")
        self.follow(title)

    def choose(self, way: str, *, among: str = "") -> None:
        """Choose a published way, whose words begin so; `among` opens the ways of its product."""
        ways = self.page.get_by_role("link", name=re.compile("^(See every|Plan the rest)"))
        if ways.count():
            ways.click()
        link = self.page.get_by_role("link", name=re.compile(rf"^Plan this\s*: {re.escape(way)}"))
        if among and not link.is_visible():
            self.page.locator("summary", has_text=among).click()
        link.click()

    def put_in(self, pounds: int) -> None:
        """So many pounds of it."""
        self.page.get_by_role("radio", name="Another amount", exact=True).check()
        self.page.get_by_role("textbox", name="Pounds of it").fill(str(pounds))
        self.press("Put it into the plan")

    def plate(self, title: str) -> str:
        """All that one use says of itself."""
        shown = self.page.get_by_role("region", name=title, exact=True).inner_text()
        return re.sub(r"\s+", " ", shown)

    def wanted(self) -> Rows:
        """Jars, lids and bands: likely wanted, to be sure, there, lacking."""
        region = self.page.get_by_role("region", name="Jars, lids and bands wanted and there")
        return self.rows(region.get_by_role("table"))

    def to_the_card(self, title: str) -> Rows:
        """Its kitchen card; returns the loads of one use, to write on."""
        self.follow("Kitchen card")
        use = self.page.get_by_role("region", name=title, exact=True)
        return self.rows(use.get_by_role("table"))


class Loan(On):
    """Jars that one household lends another."""

    def ask(self, lender: str, kind: str, count: int) -> None:
        """Ask, from the table of who has some, which is open."""
        self.follow(f"Ask to borrow from {lender}")
        self.fill(kind, count)
        self.press("Ask for them")

    def open(self, name: str) -> None:
        """A loan, from the first page of jars."""
        Jars(self.page).open()
        self.follow(name)

    def out(self) -> Rows:
        """By kind: agreed, handed over, came back, broke, kept, out now."""
        return self.rows(self.page.get_by_role("table", name="Jars of this loan by kind"))


class NewLoad(On):
    """A load, written down on a phone."""

    def write(self, jars: int, canner: str, run: dict[str, Any]) -> None:
        """From the plan; `run` is what the fields ask: `ended` is a moment, `gauge` a day."""
        self.page.get_by_role("link", name=re.compile("^Write .*load")).first.click()
        self.fill("Jars that went in", jars)
        self.fill("Which canner", canner)
        self._run(run)
        self.press("Write it down")

    def _run(self, run: dict[str, Any]) -> None:
        ended: datetime = run["ended"]
        gauge: date = run["gauge"]
        self.fill("Minutes, as run", run["minutes"])
        self.fill("Pressure, as run", run["psi"])
        self.fill("Vented for", run["vented"])
        self.fill("The heat went off", ended.strftime("%Y-%m-%dT%H:%M"))
        self.fill("Its gauge was last tested on", gauge.isoformat())
        self.page.get_by_label("Who watched").select_option(label=run["watcher"])


class Lot(On):
    """One lot, from the canner to the shelf."""

    def step(self, name: str, field: str, count: int) -> None:
        """What the lot waits for, by the name of its link: a number is written down."""
        self.page.get_by_role("link", name=re.compile(f"^{name}")).first.click()
        self.fill(field, count)
        self.press("Write it down")

    def trace(self, code: str) -> None:
        """From the code on a jar."""
        Jars(self.page).open("Trace a jar")
        self.fill("Lot code", code)
        self.press("Trace it")

    def table(self, name: str) -> Rows:
        """One of the tables of a trace."""
        return self.rows(self.page.get_by_role("table", name=name))
