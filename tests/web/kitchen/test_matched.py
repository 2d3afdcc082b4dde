"""Spare jars are matched to what the plans lack, and each row leads to a loan."""

from dataclasses import replace
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coop.buying.models import Share
from coop.core.jars import match_spares
from coop.kitchen.queries import matched
from coop.kitchen.queries.matched import matched_jars
from tests.web import buy_factories, factories
from tests.web.factories import NOW
from tests.web.kitchen_factories import (
    QUARTS,
    make_count,
    make_home,
    make_loan,
    make_plan,
    make_use,
)
from tests.web.reading import main_of, sections_of, text_of


@pytest.fixture
def address(coop):
    return f"/{coop.slug}/plans/jars/"


@pytest.fixture
def lender(coop):
    """Has 30 quarts to spare."""
    lender = factories.make_household(coop, "Fenn")
    make_count(lender, {QUARTS: (0, 40, 30)})
    return lender


@pytest.fixture
def lacking(household):
    """Our household counted, and lacks 14 quarts of 21."""
    make_count(household, {QUARTS: (0, 7, 0)}, lids={"regular": (5, 40)})
    make_use(make_plan(household), jars=21)
    return household


def acts(response):
    return {link.get_text(" ", strip=True): link["href"] for link in rows(response, "a")}


def rows(response, what="tr"):
    return main_of(response).select(f"section[aria-labelledby=lendings] tbody {what}")


def test_jars_needed_met_and_lacking_stand_on_top(as_member, address, lacking, lender):
    make_use(make_plan(lacking), jars=5, mouth="wide")
    text = sections_of(as_member.get(address))["Jars to find"]
    assert "19 needed" in text
    assert "14 met by 1 household" in text
    assert "5 still lacking" in text
    assert "26 jars are planned" in text


def test_a_row_says_who_lends_whom_what_and_how_far(as_member, address, lacking, lender):
    # A tenth of a degree of latitude is 6.9 miles (60 nautical miles to a degree): 21.6 minutes
    # at 25 miles an hour with 1.3 miles of road to a straight one.
    make_home(lacking, north="39.10")
    make_home(lender, north="39.20")
    (row,) = rows(as_member.get(address))
    cells = [cell.get_text(" ", strip=True) for cell in row.select("th, td")]
    assert cells[:4] == ["F Fenn", "C Castell", "14 quarts, regular mouth", "22 min"]


def test_an_unknown_place_is_half_an_hour_away_and_said_so(as_member, address, lacking, lender):
    make_home(lacking)
    text = text_of(as_member.get(address))
    assert "30 min place unknown" in text
    assert "30 minutes are supposed" in text


def test_the_borrower_asks_with_the_jars_filled_in(as_member, coop, address, lacking, lender):
    ((words, url),) = acts(as_member.get(address)).items()
    assert words.startswith("Ask to borrow")
    assert urlsplit(url).path == f"/{coop.slug}/jars/borrow/{lender.pk}/"
    assert parse_qs(urlsplit(url).query) == {"kind": [QUARTS], "count": ["14"]}
    form = main_of(as_member.get(url))
    assert form.find(attrs={"name": QUARTS})["value"] == "14"


def test_the_lender_offers(coop, sign_in, address, lacking, lender):
    as_lender = sign_in(factories.make_member(lender))
    ((words, url),) = acts(as_lender.get(address)).items()
    assert words.startswith("Offer")
    assert urlsplit(url).path == f"/{coop.slug}/jars/offer/{lacking.pk}/"
    assert as_lender.get(url).status_code == 200


def test_a_coordinator_asks_for_the_borrower(as_coordinator, address, lacking, lender):
    ((_, url),) = acts(as_coordinator.get(address)).items()
    assert parse_qs(urlsplit(url).query)["for"] == [str(lacking.pk)]
    assert as_coordinator.get(url).status_code == 200


def test_other_members_see_the_row_and_no_act(as_other_household_member, address, lacking, lender):
    response = as_other_household_member.get(address)
    assert len(rows(response)) == 1
    assert acts(response) == {}


def test_several_kinds_of_one_lender_are_one_ask(as_member, address, household, coop):
    lender = factories.make_household(coop)
    make_count(lender, {QUARTS: (0, 9, 9), "quart_wide": (0, 9, 9)})
    make_count(household, {})
    for mouth in ("regular", "wide"):
        make_use(make_plan(household), jars=4, mouth=mouth)
    ((_, url),) = acts(as_member.get(address)).items()
    assert parse_qs(urlsplit(url).query) == {
        "kind": [QUARTS, "quart_wide"],
        "count": ["4", "4"],
    }


def test_what_was_asked_already_leads_to_its_loan(as_member, coop, address, lacking, lender):
    loan = make_loan(lender, lacking, {QUARTS: 14})
    ((words, url),) = acts(as_member.get(address)).items()
    assert words.startswith("Asked: see it")
    assert url == f"/{coop.slug}/jars/loans/{loan.pk}/"


def test_an_ask_about_other_jars_leaves_the_button_to_ask(as_member, address, lacking, lender):
    make_loan(lender, lacking, {"pint_wide": 6})
    make_loan(lender, lacking, {"half_pint_wide": 6})
    ((words, _),) = acts(as_member.get(address)).items()
    assert words.startswith("Ask to borrow")


def test_of_several_asks_the_one_about_these_jars_is_led_to(
    as_member, coop, address, lacking, lender
):
    loan = make_loan(lender, lacking, {QUARTS: 3})
    make_loan(lender, lacking, {"pint_wide": 6})
    ((_, url),) = acts(as_member.get(address)).items()
    assert url == f"/{coop.slug}/jars/loans/{loan.pk}/"


def test_jars_agreed_and_not_fetched_yet_are_not_needed_twice(coop, lacking, lender):
    make_loan(lender, lacking, {QUARTS: 10}, agreed=True)
    found = matched_jars(coop, NOW, sure=False)
    assert (found.needed, found.met) == (4, 4)


def test_lids_and_bands_stand_beside_what_is_lacking(as_member, address, lacking):
    text = sections_of(as_member.get(address))
    assert "Quart, regular mouth 14 0 14" in text["Jars by kind"]
    assert "Regular mouth 16 0" in text["Lids and bands lacking"]


def test_old_and_missing_counts_are_named(as_member, coop, address, lender, household):
    make_use(make_plan(household), jars=5)
    old = factories.make_household(coop, "Grijalva")
    make_count(old, {QUARTS: (0, 3, 0)}, at=NOW - timedelta(days=70))
    make_use(make_plan(old), jars=5)
    text = text_of(as_member.get(address))
    assert "Never counted, so taken to have no jar: Castell." in text
    assert "Counted long ago: Grijalva (" in text


def test_fresh_counts_of_all_call_for_no_warning(as_member, address, lacking, lender):
    assert "as good as the counts" not in text_of(as_member.get(address))


def test_a_search_that_ran_out_of_time_is_said(as_member, address, lacking, lender, monkeypatch):
    assert "Time ran out" not in text_of(as_member.get(address))
    seconds = []

    def stopped(*args, **options):
        seconds.append(options["seconds"])
        return replace(match_spares(*args, **options), proven=False)

    monkeypatch.setattr(matched, "match_spares", stopped)
    text = text_of(as_member.get(address))
    assert "Time ran out" in text
    assert "14 met" in text
    assert seconds == [3]


def test_to_be_sure_asks_for_more(as_member, address, household, lender):
    make_count(household, {})
    make_use(make_plan(household), 315)  # 7 quarts likely, up to 9 (USDA guide 4)
    assert "7 needed" in text_of(as_member.get(address))
    assert "9 needed" in text_of(as_member.get(f"{address}?sure=1"))


def test_each_empty_state_says_what_is_missing(as_member, address, household):
    assert "No jars are planned yet" in text_of(as_member.get(address))
    make_use(make_plan(household), jars=5)
    assert "Nobody has such jars to spare" in text_of(as_member.get(address))
    make_count(household, {QUARTS: (0, 5, 0)}, lids={"regular": (5, 5)})
    text = text_of(as_member.get(address))
    assert "Nobody lacks jars" in text
    assert "Who could lend whom" not in text


def test_the_page_of_a_buy_needs_only_its_own_and_spares_for_all(
    as_member, coop, household, other_household
):
    buy = buy_factories.make_divided_buy(coop, asks={household: 350})
    share = Share.objects.get(division__line__buy=buy)
    make_use(make_plan(household, share=share), jars=7)
    make_use(make_plan(household), jars=50)
    make_count(other_household, {QUARTS: (0, 12, 12)})
    make_use(make_plan(other_household), jars=9)  # of no buy, and yet it keeps its jars
    response = as_member.get(f"/{coop.slug}/buys/{buy.pk}/jars/")
    assert "7 needed" in text_of(response)
    assert "3 quarts, regular mouth" in rows(response)[0].get_text(" ", strip=True)


def test_another_coops_buy_is_404_and_its_jars_stay_there(
    as_member, coop, other_coop, address, lacking
):
    theirs = buy_factories.make_divided_buy(other_coop)
    make_count(factories.make_household(other_coop), {QUARTS: (0, 40, 40)})
    assert as_member.get(f"/{coop.slug}/buys/{theirs.pk}/jars/").status_code == 404
    assert "Nobody has such jars to spare" in text_of(as_member.get(address))


def test_who_is_signed_out_or_a_stranger_sees_nothing(signed_out, as_outsider, address):
    assert signed_out.get(address).status_code == 302
    assert as_outsider.get(address).status_code == 404


def test_posting_is_not_for_these_pages(as_member, address):
    assert as_member.post(address).status_code == 405


@pytest.mark.sqlite  # as many queries on any database
def test_three_hundred_households_take_as_many_queries_as_four(as_member, coop, address):
    counts = []
    for more in (4, 296):
        for number in range(more):
            each = factories.make_household(coop)
            make_home(each, north=f"39.{number % 90 + 10}")
            if number % 2:
                make_count(each, {QUARTS: (0, 12, 6)})
            else:
                make_use(make_plan(each), jars=5 + number % 4)
        with CaptureQueriesContext(connection) as captured:
            response = as_member.get(address)
        assert rows(response)
        counts.append(len(captured))
    assert counts[0] == counts[1]
    assert main_of(response).select("a[rel=next]")
