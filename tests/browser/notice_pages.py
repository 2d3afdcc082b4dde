"""The pages of notices as people use them, found by what they are called."""

import re
from typing import Any

from tests.browser.pages import On

COUNT = re.compile(r"(\d+) notices? to read")


class Notices(On):
    """What there is to read."""

    def week(self, coop: str) -> None:
        """Open This week."""
        self.go(f"/{coop}/")

    @property
    def count(self) -> int:
        """How many there are to read, as the bar of places says; it says nothing of none."""
        said = COUNT.search(self.page.locator("nav .place .unread").first.inner_text())
        assert said
        return int(said[1])

    def open_first(self) -> str:
        """Open the first that is to be read. Returns what it is called."""
        row = self.page.locator("section[aria-labelledby=to-read] .row").first
        title = row.locator(".row-title").inner_text()
        row.get_by_role("button").click()
        return str(title).strip()

    def all(self) -> None:
        """From This week to the page of all notices."""
        self.page.get_by_role("main").get_by_role("link", name="All notices").click()

    def read_all(self) -> None:
        """All that stand there are read."""
        self.press("All read")


class Choices(On):
    """What comes, and how."""

    def set(self, kind: str, field: str, choice: str) -> None:
        """Choose one thing of one kind; it is folded at first."""
        group = self.kind(kind).get_by_role("group", name=field)
        if not group.is_visible():
            self.open(kind)
        group.get_by_label(choice, exact=True).check()

    def open(self, kind: str) -> None:
        """Open the fold of a kind."""
        self.kind(kind).locator("summary").click()

    def kind(self, words: str) -> Any:
        """One kind."""
        called = self.page.locator(".kind-words", has_text=re.compile(f"^{words}"))
        return self.page.locator("details.kind").filter(has=called)

    def how(self, kind: str) -> str:
        """What is chosen of a kind, in words."""
        return str(self.kind(kind).locator(".kind-how").inner_text()).strip()

    def save(self) -> None:
        """Keep it."""
        self.page.get_by_role("button", name="Save", exact=True).click()
        self.page.get_by_text("Saved.").wait_for()


class Calendar(On):
    """The private calendar."""

    def make_address(self) -> str:
        """Make its address, and read it."""
        self.press("Make the address")
        return str(self.page.get_by_label("Address of your calendar").input_value())


class Writing(On):
    """Writing to those whom something concerns."""

    def look(self, who: str, subject: str, text: str) -> None:
        """Write a letter, and look at whom it reaches."""
        self.page.get_by_label(re.compile(f"^{who}")).check()
        self.fill("Subject", subject)
        self.fill("Letter", text)
        self.press("See who gets it")

    def filled(self) -> dict[str, str]:
        """What the form before the last step holds, to send it once more."""
        form = self.page.locator("form", has=self.page.get_by_role("button", name="Send it"))
        fields = form.evaluate("form => Object.fromEntries(new FormData(form))")
        return {str(name): str(value) for name, value in fields.items()}


class Told(On):
    """Who was told."""

    def of(self, household: str) -> str:
        """How the people of a household were told."""
        home = self.page.locator(".told-home").filter(has_text=household)
        return re.sub(r"\s+", " ", home.inner_text())

    def take_note(self, name: str) -> None:
        """Take note of every mail that did not reach somebody."""
        buttons = self.page.get_by_role("button", name=f"Take note of {name}")
        for _ in range(buttons.count()):
            buttons.first.click()
