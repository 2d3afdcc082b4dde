"""How far behind each household is this season, and what the season's rule makes of it."""

from datetime import timedelta

import pytest
from bs4 import BeautifulSoup
from django.utils import timezone

from coop.buying.models import Buy, Division, Line, Measure, Spare, SpareClaim
from coop.buying.queries.choices import choices_of
from coop.buying.queries.division import case_of
from coop.buying.queries.season import carries_before
from tests.web import buy_factories as rows
from tests.web import factories

NOW = factories.NOW


@pytest.fixture
def peaches(coop, coordinator, household, other_household):
    """In July one household got 29 of 60 lb of peaches, the other all of its 20."""
    offer = factories.make_offer(factories.make_farm(coop), "Peaches", container="lug", size=220)
    buy = rows.make_collected_buy(
        coop,
        title="Peaches",
        coordinator=coordinator,
        offers=[offer],
        asks={household: 600, other_household: 200},
        asks_close_at=NOW - timedelta(days=32),
        pickup_from=NOW - timedelta(days=30),
        pickup_to=NOW - timedelta(days=30, hours=-2),
    )
    rows.make_division(rows.the_line(buy), {household: 290, other_household: 200})
    return buy


def test_what_was_asked_and_got_this_year_is_counted(peaches, short_line, household):
    carry = carries_before(short_line)[household.pk]
    assert (carry.asked, carry.received, carry.short) == (600, 290, 310)
    assert carry.worst.line.produce == "Peaches"


def test_whoever_is_furthest_behind_is_filled_first(peaches, short_line, household):
    # With all of its 50 lb it stands at 79 of 110 (72 %), the other with 10 at 30 of 40 (75 %).
    columns = choices_of(case_of(short_line)).columns
    season = next(column for column in columns if column.rule == "season")
    got = {cell.ask.household: cell.amount for cell in season.cells}
    assert got[household] == 500


def test_the_page_names_who_is_behind_and_why(peaches, short_line, as_member, at):
    page = as_member.get(at("divide", short_line.buy_id, short_line.pk))
    text = BeautifulSoup(page.content, "html.parser").get_text(" ")
    text = " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())
    assert "It was 31 lb short of peaches in July." in text


def test_what_was_claimed_from_the_spare_table_counts_up_to_the_ask(
    peaches, short_line, household, member
):
    division = Division.objects.get(line__buy=peaches)
    spare = Spare.objects.create(division=division, amount=900)
    SpareClaim.objects.create(spare=spare, household=household, amount=900, by=member)
    assert carries_before(short_line)[household.pk].short == 0


def test_a_withdrawn_division_is_forgotten(peaches, short_line):
    Division.objects.filter(line__buy=peaches).update(withdrawn_at=timezone.now())
    assert carries_before(short_line) == {}


def test_last_year_is_another_season(peaches, short_line):
    year = timedelta(days=365)
    Buy.objects.filter(pk=peaches.pk).update(
        asks_close_at=NOW - year, pickup_from=NOW - year, pickup_to=NOW - year + timedelta(hours=1)
    )
    assert carries_before(short_line) == {}


def test_the_season_ends_at_midnight_by_the_co_ops_clocks(peaches, short_line, household):
    # Half past six in the evening of 31 December in Denver is past midnight in UTC.
    start = NOW.replace(month=1, day=1, hour=1, minute=30)
    Buy.objects.filter(pk=peaches.pk).update(
        asks_close_at=start, pickup_from=start, pickup_to=start + timedelta(hours=1)
    )
    assert household.pk not in carries_before(short_line)


def test_eggs_say_nothing_about_corn(peaches, short_line):
    Line.objects.filter(buy=peaches).update(measure=Measure.COUNT)
    assert carries_before(short_line) == {}


def test_the_lines_of_one_buy_leave_each_other_out(short_buy, short_line, household):
    offer = factories.make_offer(factories.make_farm(short_buy.coop), "Beans")
    beans = rows.make_line(short_buy, offer)
    rows.make_division(beans, {household: 10})
    assert carries_before(short_line) == {}


def test_another_co_ops_season_is_its_own(peaches, outsider):
    buy = rows.make_collected_buy(outsider.coop)
    assert carries_before(rows.the_line(buy)) == {}
