"""The pages of money, as people use them."""

import re
from typing import Any

from tests.browser.pages import CELLS, On, Rows


class Costs(On):
    """All costs of a buy."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(f"{buy}costs/")

    def households(self) -> Rows:
        """By household: got, produce, shared costs, fees and credits, in all, paid for it."""
        return self.rows(self.page.get_by_role("table", name="Costs by household"))

    def produce(self) -> Rows:
        """By produce: promised, delivered, bill, fit to share."""
        return self.rows(self.page.get_by_role("table", name="What was promised and what came"))

    def pay_farm(self, buy: str, farm: str) -> None:
        """Pay what is open of a farm's bill; who fronts the buy is chosen already."""
        self.open(buy)
        self.page.get_by_role("link", name=f"Pay {farm}").click()
        self.page.locator("main form").get_by_role("button").click()
        self.page.wait_for_url(lambda url: url.endswith("/costs/"))


class ChargeProduce(On):
    """What each household will owe for its produce."""

    def open(self, buy: str) -> None:
        """Go there."""
        self.go(f"{buy}costs/produce/")

    def shares(self, produce: str) -> Rows:
        """By household: got, pays."""
        return self.rows(self.page.get_by_role("table", name=f"Who pays how much for {produce}"))

    def charge(self, total: str) -> None:
        """Charge it, as it is shown."""
        self.press(f"Charge {total}")
        self.page.wait_for_url(lambda url: url.endswith("/costs/"))


class AddCost(On):
    """Sharing any other cost."""

    def look(self, buy: str, title: str, dollars: str, *, paid_by: str) -> dict[str, str]:
        """Fill it in, and see what each would pay."""
        self.go(f"{buy}costs/new/")
        self.page.locator("[name=title]").fill(title)
        self.page.locator("[name=cents]").fill(dollars)
        self.page.locator("[name=payer]").select_option(label=paid_by)
        self.press("Show what each pays")
        self.page.get_by_role("heading", name="What each pays").wait_for()
        names = self.page.locator(".facts dt").all_inner_texts()
        return dict(zip(names, self.page.locator(".facts dd").all_inner_texts(), strict=True))

    def charge(self) -> None:
        """Charge it so."""
        self.press("Charge it")
        self.page.wait_for_url(lambda url: url.endswith("/costs/"))


class NoShow(On):
    """The fee for not coming."""

    def charge(self, buy: str, household: str) -> None:
        """Charge it to a household."""
        self.go(f"{buy}costs/no-show/")
        self.page.locator("[name=household]").select_option(label=household)
        self.press("Charge it")
        self.page.wait_for_url(lambda url: url.endswith("/costs/"))


class Money(On):
    """Who owes."""

    def open(self, coop: str) -> None:
        """Go there."""
        self.go(f"/{coop}/money/")

    def balances(self) -> dict[str, tuple[str, str]]:
        """By household: owes, is owed."""
        table = self.page.get_by_role("table", name="What each household owes and is owed")
        return {who: tuple(cells) for who, cells in self.rows(table).items()}

    def till(self) -> str:
        """What it holds, or is short of."""
        return self.section("till")

    def section(self, name: str) -> str:
        """The text of a part of the page."""
        text = self.page.locator(f"section[aria-labelledby={name}]").inner_text()
        return re.sub(r"\s+", " ", text)


class Statement(On):
    """A household's account, line by line."""

    def open_own(self, coop: str) -> None:
        """The one of who is signed in."""
        self.go(f"/{coop}/money/")
        self.follow("Your statement")

    def lines(self) -> list[list[str]]:
        """What, got, gave, balance: as many as there are, then the sums."""
        return self.page.get_by_role("table").evaluate(CELLS)


class Round(On):
    """Squaring up."""

    def preview(self, coop: str, password: str) -> list[tuple[str, str]]:
        """Who would pay whom, and how much. It may ask who one is once more."""
        self.go(f"/{coop}/money/square-up/")
        if "/reauthenticate/" in self.page.url:
            self.page.locator("[name=password]").fill(password)
            self.page.locator("main form").get_by_role("button").first.click()
        rows = self.page.locator("#preview .rows .row")
        return [tuple(self._parts(row)) for row in rows.all()]

    @staticmethod
    def _parts(row: Any) -> list[str]:
        return [part.strip() for part in row.inner_text().splitlines() if part.strip()]

    def square_up(self) -> str:
        """Make the round; returns its address."""
        self.press("Square up so")
        self.page.wait_for_url("**/money/rounds/*/")
        return re.sub(r"^https?://[^/]+", "", self.page.url)

    def mark_paid(self, round_: str, payer: str, payee: str) -> None:
        """The payer has paid."""
        self.go(round_)
        self._press_for("Mark as paid", payer, payee)
        self.page.get_by_text("Marked as paid").first.wait_for()

    def confirm(self, round_: str, payer: str, payee: str) -> None:
        """The payee has it."""
        self.go(round_)
        self._press_for("It arrived", payer, payee)
        self.page.get_by_text("Confirmed:").first.wait_for()

    def _press_for(self, label: str, payer: str, payee: str) -> None:
        """The button of one payment; the rest of its name is for who hears the page."""
        name = re.compile(rf"^{label}\s*: {payer} to {payee}$")
        self.page.get_by_role("button", name=name).click()
