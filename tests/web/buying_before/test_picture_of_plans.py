"""The picture of lot plans stands inside its drawing and follows the table."""

import itertools

import pytest
from bs4 import BeautifulSoup
from django.urls import reverse

from coop.buying.queries.picking import picking_of
from coop.buying.views.charts import HEIGHT, WIDTH, plan_chart
from tests.web.buy_factories import make_ask, make_buy, the_line
from tests.web.factories import make_farm, make_household, make_offer

# What pages say is the same on any database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def buy(coop):
    """Asks for 10 bushels of 35 lb; from 10 on they cost less."""
    offer = make_offer(make_farm(coop), prices=[(1, 2400), (10, 1800)])
    buy = make_buy(coop, offers=[offer])
    make_ask(the_line(buy), make_household(coop), 3500, at_most=4200)
    return buy


def the_picking(buy):
    return picking_of(buy).lines[0]


def test_points_go_to_the_right_as_amounts_grow_and_down_as_costs_fall(buy):
    chart = plan_chart(the_picking(buy))
    points = chart.points
    assert [point.x for point in points] == sorted(point.x for point in points)
    for before, after in itertools.pairwise(points):
        # The drawing's y grows downwards. By hand: 9 x $24 is $216, 10 x $18 is $180.
        assert (after.y > before.y) == (after.row.total_cents < before.row.total_cents)
    assert sum(bool(point.row.saves_cents) for point in points) == 1


def test_everything_stands_inside_the_drawing(buy):
    chart = plan_chart(the_picking(buy))
    assert all(0 < point.x < WIDTH and 0 < point.y < HEIGHT for point in chart.points)
    assert 0 < chart.band_x < chart.band_x + chart.band_width < WIDTH
    assert 0 < chart.wanted_x < WIDTH


def test_one_plan_alone_has_no_picture(coop):
    assert (
        plan_chart(the_picking(make_buy(coop, offers=[make_offer(make_farm(coop), available=0)])))
        is None
    )


def test_the_page_draws_a_point_for_each_row_of_its_table(as_member, buy, coop):
    page = as_member.get(reverse("buying:lots", args=[coop.slug, buy.pk]))
    soup = BeautifulSoup(page.content, "html.parser")
    rows = soup.find("table").find("tbody").find_all("tr")
    assert len(soup.find("svg", class_="plan-chart").find_all("circle")) == len(rows) > 2


def test_after_the_close_the_form_to_ask_is_gone(as_member, coop, clock, buy):
    line = the_line(buy)
    url = reverse("buying:ask", args=[coop.slug, buy.pk, line.pk])
    assert b"Save my ask" in as_member.get(url).content
    clock.move_to(buy.asks_close_at)
    told = as_member.get(url).content.decode()
    assert "Asks are closed." in told
    assert "Save my ask" not in told
