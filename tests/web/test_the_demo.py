"""The demo co-op: loaded once, by the acts that people use, with a season at every stage."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client

from coop.buying.models import Buy, Farm, Spare
from coop.money.actions.checks import check_books
from coop.money.models import Entry, SquareUp
from coop.money.queries.balances import accounts_with_balances
from coop.notices.models import Matter
from coop.notices.sources import put_right
from coop.people.models import Change, Coop, User

pytestmark = pytest.mark.django_db


def test_the_demo_has_a_season_at_every_stage(demo: Coop) -> None:
    assert set(demo.buys.values_list("stage", flat=True)) == set(Buy.Stage.values)
    assert demo.households.count() >= 12
    assert Farm.objects.filter(coop=demo).count() == 4
    assert demo.altitude_ft > 3000


def test_the_books_of_the_demo_balance(demo: Coop) -> None:
    assert check_books(demo).sound
    assert sum(account.balance_cents for account in accounts_with_balances(demo)) == 0
    settled = demo.buys.filter(stage=Buy.Stage.SQUARED)
    assert {
        account.balance_cents for account in accounts_with_balances(demo).filter(buy__in=settled)
    } == {0}


def test_no_act_of_the_demo_has_left_anything_to_be_told(demo: Coop) -> None:
    kinds = set(Matter.objects.values_list("kind", flat=True))
    assert kinds >= {"buy_closes", "buy_news", "buy_pickup", "money_to_pay", "money_to_confirm"}
    assert put_right(demo) == {}


def test_a_second_load_changes_nothing(demo: Coop) -> None:
    def counts() -> list[int]:
        return [model.objects.count() for model in (User, Buy, Entry, Change, SquareUp, Spare)]

    before, said = counts(), StringIO()
    call_command("load_demo", stdout=said)
    assert counts() == before
    assert "here already" in said.getvalue()


def test_history_stands_in_the_order_of_time(demo: Coop) -> None:
    moments = list(Change.objects.order_by("pk").values_list("at", flat=True))
    assert len(moments) > 100
    assert moments == sorted(moments)


def test_whoever_is_named_can_sign_in(demo: Coop, client: Client) -> None:
    said = StringIO()
    call_command("load_demo", stdout=said)
    address = next(line.split()[0] for line in said.getvalue().splitlines() if "@" in line)
    password = said.getvalue().split("password for all: ")[1].split(")")[0]
    answer = client.post("/account/login/", {"login": address, "password": password}, follow=True)
    assert answer.redirect_chain[-1][0] == f"/{demo.slug}/"
