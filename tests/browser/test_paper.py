"""Sheets as the printer gets them.

No library here reads the text of a PDF. So the number of pages is counted in the PDF itself, and
that nothing is cut is measured before: the page laid out for paper, at the width that paper has
between its margins, with every text inside it and in sight.
"""

import re

import pytest

from coop.buying.models import Buy, Share
from coop.kitchen.models import Lot, Plan
from coop.money.models import Movement
from coop.people.models import Household
from tests.web import buy_factories, factories

# What a browser shows does not hang on the database; the whole buy runs on PostgreSQL.
pytestmark = pytest.mark.sqlite

#: US letter, 8.5 in of 96 px, less the 12 mm at each side that the sheets leave.
BETWEEN_MARGINS = int((8.5 - 24 / 25.4) * 96)
CUT = """() => {
  const right = document.documentElement.clientWidth + 0.5;
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const cut = [];
  while (texts.nextNode()) {
    const range = document.createRange();
    range.selectNodeContents(texts.currentNode);
    const box = range.getBoundingClientRect();
    const hidden = texts.currentNode.parentElement.closest(".unseen, script, details:not([open])");
    if (box.width && !hidden && (box.right > right || box.left < 0))
      cut.push(texts.currentNode.textContent.trim());
  }
  return cut;
}"""
BUTTONS = "button:visible, .button:visible, input[type=submit]:visible"


@pytest.fixture
def on_paper(demo, page_of):
    """Lay an address out for paper: its page, and the bytes of its PDF."""

    def laid_out(path, person):
        page = page_of(person, width=BETWEEN_MARGINS)
        page.goto(path)
        page.emulate_media(media="print")
        return page, page.pdf(format="Letter", prefer_css_page_size=True)

    return laid_out


def pages_in(pdf):
    """How many pages a PDF has, by its own page objects."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def check(page, *texts):
    """Nothing is cut, nothing is there to press, and each text is in sight."""
    assert not page.evaluate(CUT)
    assert page.locator(BUTTONS).count() == 0
    shown = page.locator("main").inner_text()
    assert not [text for text in texts if text not in shown]


def test_the_call_in_sheet_is_one_page_with_every_farm(demo, on_paper):
    buy = demo.buys.get(stage=Buy.Stage.CALLED_IN)
    page, pdf = on_paper(f"/{demo.slug}/buys/{buy.pk}/call-in/sheet/", buy.coordinator)
    farms = {supply.farm for line in buy.lines.all() for supply in line.supplies.all()}
    check(page, *(farm.name for farm in farms), *(farm.phone for farm in farms))
    assert pages_in(pdf) == 1


def test_the_tally_sheet_is_one_page_with_every_box(demo, on_paper):
    buy = demo.buys.get(stage=Buy.Stage.CALLED_IN)
    page, pdf = on_paper(f"/{demo.slug}/buys/{buy.pk}/tally/sheet/", buy.coordinator)
    check(page, "Containers that came", "Refused", "Culls", "Soft, for today", "The farm charges")
    assert pages_in(pdf) == 1


def test_the_pickup_sheet_is_one_page_with_every_household(demo, on_paper):
    buy = demo.buys.get(stage=Buy.Stage.DIVIDED)
    page, pdf = on_paper(f"/{demo.slug}/buys/{buy.pk}/pickup/sheet/", buy.coordinator)
    shares = Share.objects.filter(division__line__buy=buy, division__withdrawn_at=None)
    names = {share.household.name for share in shares}
    assert len(names) >= 8
    check(page, *names)
    assert pages_in(pdf) == 1


def test_a_long_pickup_sheet_goes_over_to_the_next_page_between_two_rows(demo, on_paper):
    coordinator = demo.members.filter(coordinator=True).first()
    shares = {
        factories.make_household(demo, f"Household of a rather long name, number {place}"): 35
        for place in range(60)
    }
    buy = buy_factories.make_divided_buy(demo, coordinator=coordinator, shares=shares)
    page, pdf = on_paper(f"/{demo.slug}/buys/{buy.pk}/pickup/sheet/", coordinator)
    check(page, *(household.name for household in shares))
    assert pages_in(pdf) in {2, 3}
    row = page.locator("tbody tr").first
    assert row.evaluate("row => getComputedStyle(row).breakInside") == "avoid"
    head = page.locator("thead").first
    assert head.evaluate("head => getComputedStyle(head).display") == "table-header-group"


def test_a_statement_is_on_paper_with_every_line(demo, on_paper):
    household = Household.objects.filter(coop=demo, account__given__isnull=False).first()
    path = f"/{demo.slug}/money/statements/{household.pk}/"
    page, pdf = on_paper(path, household.members.first())
    entries = Movement.objects.filter(target=household.account)
    check(page, household.name, *(each.note for each in entries if each.note))
    assert pages_in(pdf) in {1, 2}


def test_a_kitchen_card_says_each_use_on_as_many_pages(demo, on_paper):
    plan = Plan.objects.get(
        coop=demo, produce="tomato", household__name="Abelard", share__isnull=False
    )
    page, pdf = on_paper(f"/{demo.slug}/plans/{plan.pk}/card/", plan.by)
    check(page, "Crushed, canned", "Thin sauce, canned", "bottled lemon juice", "4,680 ft")
    assert pages_in(pdf) == plan.uses.count()


def test_labels_fill_their_sheets_and_no_more(demo, on_paper):
    lots = Lot.objects.filter(coop=demo, seal_check__sealed=7)[:3]
    asked = "&".join(f"lot={lot.pk}" for lot in lots)
    page, pdf = on_paper(f"/{demo.slug}/lots/labels/?{asked}", lots[0].by)
    assert page.locator(BUTTONS).count() == 0
    assert pages_in(pdf) == 2  # three lots of seven jars, at eighteen labels to a sheet
    assert page.locator("svg.sheet use").count() >= 21


def test_a_trace_is_on_paper_with_every_household(demo, on_paper):
    lot = Lot.objects.filter(coop=demo, produce="snap_beans", farm__isnull=False).latest("pk")
    page, _ = on_paper(f"/{demo.slug}/lots/{lot.pk}/trace/", lot.by)
    check(page, lot.farm.name, "Castellanos", "Grijalva")
