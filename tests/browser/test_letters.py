"""A letter as a phone shows it, by day and in the dark: readable, and large enough to touch."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import PHONE
from tests.web.factories import NOW
from tests.web.notices.letter_reading import letter_saying

TOUCH = 44  # px, as LOOK has it and WCAG 2.2, 2.5.5
LONG = {"title": "tomatoesandpeppers" * 8, "at": NOW + timedelta(days=2), "details": ["x" * 200]}
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
HEIGHTS = "links => links.map(link => link.getBoundingClientRect().height)"
# A mail program shows the letter inside a page of its own, which has the landmarks.
RULES = {"rules": {"region": {"enabled": False}, "landmark-one-main": {"enabled": False}}}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_letter_is_readable_on_a_phone(browser, scheme):
    context = browser.new_context(viewport={"width": PHONE, "height": 700}, color_scheme=scheme)
    page = context.new_page()
    page.set_content(letter_saying(LONG, {"to_do": "Pay the farm."}).alternatives[0].content)
    found = Axe().run(page, options=RULES).response
    assert [(rule["id"], rule["nodes"]) for rule in found["violations"]] == []
    assert any(rule["id"] == "color-contrast" for rule in found["passes"])
    assert page.evaluate(OVERFLOW) == 0
    assert min(page.locator("a").evaluate_all(HEIGHTS)) >= TOUCH
    dark = page.locator("body").evaluate("body => getComputedStyle(body).backgroundColor")
    assert (dark == "rgb(18, 22, 31)") is (scheme == "dark")
    context.close()
