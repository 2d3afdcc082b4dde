"""From jars back to pounds and bushels, and from there to an ask."""

import pytest

from coop.buying.models import Measure
from tests.web import buy_factories, factories
from tests.web.factories import NOW
from tests.web.reading import main_of, sections_of, text_of

# The tables are files: they read alike whatever the database.
pytestmark = pytest.mark.sqlite


def rows(*wanted, **also):
    """An address with rows of (count, what)."""
    filled = {"form-TOTAL_FORMS": "4", "form-INITIAL_FORMS": "0"}
    for place in range(4):
        count, what = wanted[place] if place < len(wanted) else ("", "can/whole_kernel/pint")
        filled |= {f"form-{place}-count": str(count), f"form-{place}-what": what}
    return {"produce": "sweet_corn", **filled, **also}


@pytest.fixture
def address(member):
    return f"/{member.coop.slug}/reckon/"


@pytest.fixture
def line(coordinator):
    """A line of sweet corn by the bushel of 35 lb."""
    return buy_factories.the_line(buy_factories.make_buy(coordinator=coordinator))


def test_jars_of_two_sizes_become_pounds_and_bushels(as_member, address):
    # USDA Complete Guide to Home Canning, 2015: 31.5 lb in the husk a load of 7 quarts, 20 lb a
    # load of 9 pints; a bushel of 35 lb makes 6 quarts at the least. 21 quarts are three loads,
    # 94.5 lb; 18 pints two, 40 lb.
    asked = rows((21, "can/whole_kernel/quart"), (18, "can/whole_kernel/pint"))
    sections = sections_of(as_member.get(address, asked))
    assert "134.5 lb" in sections["Likely enough"]
    assert "4 bushels of 35 lb: 140 lb together" in sections["Likely enough"]
    # At 6 quarts, or 12 pints, a bushel: 122.5 lb and 52.5 lb.
    assert "175 lb" in sections["Enough if it yields least"]
    assert "5 bushels" in sections["Enough if it yields least"]


def test_what_goes_into_the_freezer_counts_too(as_member, address):
    # Michigan State University Extension, sweet corn: a bushel of 35 lb makes 14 to 17 pints.
    asked = rows((7, "can/whole_kernel/quart"), (14, "freeze/whole_kernel/pint"))
    sections = sections_of(as_member.get(address, asked))
    assert "75.9 lb" in sections["Enough if it yields least"]
    # 31.5 lb for the load, and 14 pints at the middle of 14 and 17 a bushel: 31.7 lb.
    assert "63.2 lb" in sections["Likely enough"]


def test_from_a_line_of_a_buy_it_leads_to_an_ask_with_the_amount(as_member, address, line):
    asked = rows((7, "can/whole_kernel/quart"), line=str(line.pk))
    page = main_of(as_member.get(address, asked))
    ask = page.find("a", string="Ask for 31.5 lb")["href"]
    assert ask == f"/{line.buy.coop.slug}/buys/{line.buy_id}/lines/{line.pk}/ask/?wanted=315"
    field = main_of(as_member.get(ask)).find("input", {"name": "wanted"})
    assert field["value"] == "31.5"


def test_a_container_is_asked_for_by_its_name(as_member, address, line):
    asked = rows((28, "can/whole_kernel/quart"), line=str(line.pk))
    page = main_of(as_member.get(address, asked))
    # Four loads of 31.5 lb are 126 lb: four bushels of 35 lb.
    assert page.find("a", string="Ask for 4 bushels")["href"].endswith("?wanted=1400")


def test_without_a_line_the_open_buys_that_have_it_are_named(as_member, address, line, coordinator):
    closed = buy_factories.make_buy(coordinator=coordinator, title="Closed", asks_close_at=NOW)
    beans = factories.make_offer(factories.make_farm(coordinator.coop), "Green beans")
    buy_factories.make_buy(coordinator=coordinator, title="Beans of August", offers=[beans])
    page = as_member.get(address, rows((28, "can/whole_kernel/quart")))
    ask = main_of(page).find("a", string=f"Ask for 4 bushels in {line.buy.title}")
    assert ask["href"].endswith(f"/buys/{line.buy_id}/lines/{line.pk}/ask/?wanted=1400")
    assert closed.title not in text_of(page)
    assert "Beans of August" not in text_of(page)


def test_the_list_has_only_foods_with_a_yield(as_member, address):
    options = [each.text for each in main_of(as_member.get(address)).select("#id_produce option")]
    assert "Sweet corn" in options
    assert not {"Eggplant", "Any fruit"} & set(options)


def test_open_lines_are_asked_for_once(
    as_member, address, line, coordinator, django_assert_max_num_queries
):
    asked = rows((28, "can/whole_kernel/quart"))
    with django_assert_max_num_queries(12) as one:
        as_member.get(address, asked)
    for _ in range(10):
        buy_factories.make_buy(coordinator=coordinator)
    with django_assert_max_num_queries(12) as many:
        as_member.get(address, asked)
    assert len(one) == len(many)


@pytest.mark.parametrize("wanted", ["", "abc", "-5", "1.5", "9" * 30])
def test_an_ask_takes_no_nonsense_from_its_address(as_member, line, wanted):
    page = as_member.get(
        f"/{line.buy.coop.slug}/buys/{line.buy_id}/lines/{line.pk}/ask/", {"wanted": wanted}
    )
    assert page.status_code == 200
    assert not main_of(page).find("input", {"name": "wanted"}).get("value")


def test_the_line_says_its_food_by_itself(as_member, address, line):
    page = main_of(as_member.get(address, {"line": line.pk}))
    assert page.find("input", {"name": "produce"})["value"] == "sweet_corn"
    assert "quarts of whole kernel" in text_of(as_member.get(address, {"line": line.pk}))


def test_a_line_sold_by_the_piece_has_no_factor_to_pounds(as_member, address, coordinator):
    offer = factories.make_offer(
        factories.make_farm(coordinator.coop), measure=Measure.COUNT, container="bag", size=60
    )
    buy = buy_factories.make_buy(coordinator=coordinator, offers=[offer])
    asked = rows((7, "can/whole_kernel/quart"), line=str(buy_factories.the_line(buy).pk))
    page = text_of(as_member.get(address, asked))
    assert "sold by the piece" in page
    assert "Ask for 31.5" not in page


def test_food_without_a_yield_says_so(as_member, address):
    page = text_of(as_member.get(address, {"produce": "eggplant"}))
    assert "No published yield." in page


@pytest.mark.parametrize(
    "typed",
    [
        {"produce": "unicorn"},
        rows((-3, "can/whole_kernel/quart")),
        rows(("many", "can/whole_kernel/quart")),
        rows((5000, "can/whole_kernel/quart")),
        rows((7, "can/whole_kernel/bucket")),
        rows((7, "can/applesauce/quart")),
    ],
)
def test_wrong_rows_are_sent_back_with_what_is_wrong(as_member, address, typed):
    response = as_member.get(address, typed)
    assert response.status_code == 422
    assert main_of(response).select(".field-error")
    assert "Not reckoned yet." in text_of(response)
    assert "Ensure this value" not in text_of(response)
    assert "Likely enough" not in text_of(response)


def test_empty_rows_ask_for_nothing(as_member, address):
    response = as_member.get(address, rows())
    assert response.status_code == 200
    assert "Likely enough" not in text_of(response)


@pytest.mark.parametrize("line", ["999999", "x", "-1"])
def test_a_line_that_is_not_there_is_404(as_member, address, line):
    assert as_member.get(address, {"line": line}).status_code == 404


def test_another_coops_line_is_404(as_member, address, outsider):
    line = buy_factories.the_line(buy_factories.make_buy(coordinator=outsider))
    assert as_member.get(address, {"line": line.pk}).status_code == 404
