"""The pages of equipment as people use them, found by what they are called."""

import re
from collections.abc import Mapping
from typing import Any

from tests.browser.pages import On


class Booking(On):
    """Finding a time from This week, and booking it."""

    def in_taps(self, coop: str) -> int:
        """Book the earliest time of the first kind, typing nothing. Returns how many taps."""
        self.go(f"/{coop}/")
        main = self.page.get_by_role("main")
        to_tap = [
            main.get_by_role("link", name="Book equipment"),
            main.get_by_role("link", name=re.compile("^Book .")).first,
            main.get_by_role("button", name="Book it"),
        ]
        for each in to_tap:
            each.click()
        self.page.wait_for_url("**/equipment/bookings/*/")
        return len(to_tap)

    def again(self, address: str) -> int | None:
        """Try to book what the address asks for. Returns the status of the answer."""
        self.go(address)
        with self.page.expect_response(lambda response: response.request.method == "POST") as sent:
            self.press("Book it")
        return int(sent.value.status)

    def cancel(self) -> None:
        """Cancel the booking whose page is open."""
        self.page.get_by_role("link", name="Cancel", exact=True).click()
        self.press("Cancel the booking")


class Sheet(On):
    """What is taped on a thing."""

    def address_on(self, thing: str) -> str:
        """The address that it tells, in its QR code and below it."""
        self.go(f"{thing}sheet/")
        return str(self.page.locator(".tag-url").inner_text()).strip()


class AtTheThing(On):
    """What opens when the code on a thing is scanned."""

    def take_out(self, address: str) -> None:
        """It goes out, whole."""
        self.go(address)
        self.follow("Take it out")
        self._choose("How is it?", "Clean and whole")
        self._count({})
        self.press("It is out")

    def bring_back(self, address: str, **found: Any) -> None:
        """It comes back as found: bumped, condition, parts by name, note."""
        self.go(address)
        self.follow("Bring it back")
        self._choose("Was it dropped or bumped?", "Yes" if found.get("bumped") else "No")
        self._choose("How is it?", found.get("condition", "Clean and whole"))
        if self.page.get_by_label("The dial with").count():
            self.page.get_by_label("The dial with").fill(found.get("dial", "0"))
        self._count(found.get("parts", {}))
        self.page.get_by_label("Note").fill(found.get("note", ""))
        self.press("It is back")

    def _choose(self, question: str, answer: str) -> None:
        group = self.page.get_by_role("group", name=question)
        group.get_by_label(re.compile(f"^{answer}")).check()

    def _count(self, parts: Mapping[str, int]) -> None:
        """Count the parts one by one; without a count of any, say that all are there."""
        all_there = self.page.get_by_label(re.compile("^I counted, all there"))
        if not parts and all_there.count():
            all_there.check()
        for name, count in parts.items():
            self.page.get_by_label(name, exact=True).fill(str(count))


class Steward(On):
    """Who looks after what is shared."""

    def write_test(self, thing: str, true: str, read: str) -> None:
        """Write a gauge test of today down."""
        self.go(f"{thing}gauge/")
        self.fill("Who tested it, and where", "County extension office")
        self.fill("The pressure was", true)
        self.fill("This dial showed", read)
        self.page.get_by_label("It was tested after that").check()
        self.press("Write it down")

    def mend(self, how: str) -> None:
        """Say how the first of what is out of order was mended; This week leads there."""
        self.page.get_by_role("link", name="This week", exact=True).first.click()
        self.follow("See to it")
        self.page.get_by_role("link", name=re.compile("^Mended")).first.click()
        self.fill("How was it mended?", how)
        self.press("Mended")


class InLine(On):
    """Standing by, and what is offered."""

    def stand_by(self, coop: str, thing: int, minutes: int, *, between: tuple[str, str]) -> None:
        """Stand in line for so many minutes of a thing between two local times."""
        asked = f"thing={thing}&minutes={minutes}&from_at={between[0]}&until_at={between[1]}"
        self.go(f"/{coop}/equipment/standby/new/?{asked}")
        self.press("Stand by")
