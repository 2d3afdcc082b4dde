"""What a keyboard alone can do."""

import pytest

from coop.buying.models import Ask, Buy
from coop.people.models import Member
from tests.browser.conftest import DESK, PHONE

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

FOCUSED = "(({name, value, id}) => ({name, value, id}))(document.activeElement)"
#: Steps of Tab after which a field that was not met is out of reach.
FAR = 60


@pytest.fixture
def asking(demo):
    """A buy that is asking, and a member whose household has not asked for its first line."""
    buy = Buy.objects.filter(coop=demo, stage=Buy.Stage.ASKING).latest("pk")
    line = buy.lines.first()
    asked = Ask.objects.filter(line=line).values("household")
    newcomer = Member.objects.filter(coop=demo).exclude(household__in=asked).first()
    return newcomer, line, f"/{demo.slug}/buys/{buy.pk}/lines/{line.pk}/ask/"


def tab_to(page, name, value=None):
    """Press Tab until the field of that name has the focus."""
    for _ in range(FAR):
        page.keyboard.press("Tab")
        field = page.evaluate(FOCUSED)
        if field["name"] == name and value in {None, field["value"]}:
            return
    pytest.fail(f"No Tab leads to {name}")


def test_the_first_tab_leads_past_the_places_to_the_page(demo, page_of):
    page = page_of(demo.members.first(), width=DESK)
    page.goto(f"/{demo.slug}/buys/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


@pytest.mark.parametrize("width", (PHONE, DESK))
def test_a_household_asks_without_a_mouse(asking, page_of, width):
    newcomer, line, address = asking
    page = page_of(newcomer, width=width)
    page.goto(address)
    for name, typed in (("wanted", "24.5"), ("at_least", "10"), ("at_most", "30")):
        tab_to(page, name)
        page.keyboard.type(typed)
    tab_to(page, "or_none")
    page.keyboard.press("Space")
    tab_to(page, "accept_rules")
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/buys/{line.buy_id}/")
    ask = Ask.objects.get(line=line, household=newcomer.household)
    assert (ask.wanted, ask.at_least, ask.at_most, ask.or_none) == (245, 100, 300, True)


def test_after_a_refusal_the_focus_is_on_the_first_wrong_field(asking, page_of):
    newcomer, _, address = asking
    page = page_of(newcomer, width=PHONE)
    page.goto(address)
    page.locator("[name=wanted]").fill("20")
    page.locator("[name=at_least]").fill("a few")
    page.keyboard.press("Enter")
    page.get_by_text("Write it in figures").first.wait_for()
    field = page.evaluate(FOCUSED)
    assert (field["name"], field["value"]) == ("at_least", "a few")
    described = page.locator("[name=at_least]").get_attribute("aria-describedby")
    assert any(
        "Write it in figures" in page.locator(f"#{part}").inner_text() for part in described.split()
    )


@pytest.mark.parametrize("width", (PHONE, DESK))
def test_the_sheet_under_more_opens_and_closes_and_gives_the_focus_back(demo, page_of, width):
    page = page_of(demo.members.first(), width=width)
    page.goto(f"/{demo.slug}/")
    summary = page.locator("details.more > summary")
    summary.focus()
    page.keyboard.press("Enter")
    page.locator(".more-sheet").get_by_role("button", name="Sign out").wait_for()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('.more-sheet') !== null")
    page.keyboard.press("Escape")
    assert not page.locator(".more-sheet").is_visible()
    assert summary.evaluate("summary => summary === document.activeElement")


def test_a_fold_opens_by_keyboard(demo, page_of):
    buy = Buy.objects.filter(coop=demo, stage=Buy.Stage.DIVIDED).latest("pk")
    page = page_of(buy.coordinator, width=PHONE)
    page.goto(f"/{demo.slug}/buys/{buy.pk}/")
    summary = page.locator("summary", has_text="History")
    summary.focus()
    page.keyboard.press("Space")
    assert page.locator("details[open]", has=summary).count() == 1


def test_a_stepper_keeps_the_focus_on_its_button(asking, page_of):
    newcomer, _, address = asking
    page = page_of(newcomer, width=PHONE)
    page.goto(address)
    more = page.get_by_role("button", name="More: You want")
    more.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    assert float(page.locator("[name=wanted]").input_value()) > 0
    assert more.evaluate("button => button === document.activeElement")
