"""The tally of one supply: the quick form at the barn, and what it refuses."""

import pytest

from coop.buying.models import Buy, Tally
from coop.people.models import Change
from tests.web import buy_factories as rows

TYPED = {
    "rows": "2",
    "containers": "2",
    "tare": "1.5",
    "count_0": "1",
    "gross_0": "35.5",
    "count_1": "1",
    "gross_1": "33",
    "culls": "2.5",
    "bill": "48.00",
    "bill_is": "all",
}


@pytest.fixture
def page(called_in, at):
    return at("tally_supply", called_in.pk, rows.the_supply(called_in).pk)


def test_what_the_scale_said_is_written_down_less_tare(as_coordinator, page, called_in, at):
    answer = as_coordinator.post(page, TYPED)
    assert answer.status_code == 302
    assert answer.url == at("tally", called_in.pk)
    tally = Tally.objects.get()
    weighings = tally.weighings.values_list("containers", "gross", "tare")
    assert list(weighings) == [(1, 355, 15), (1, 330, 15)]
    assert (tally.culls, tally.bill_cents) == (25, 4800)


def test_several_containers_weighed_together_take_their_tare_together(as_coordinator, page):
    typed = TYPED | {"count_0": "2", "gross_0": "70", "count_1": "", "gross_1": ""}
    as_coordinator.post(page, typed)
    weighing = Tally.objects.get().weighings.get()
    assert (weighing.containers, weighing.gross, weighing.tare) == (2, 700, 30)


def test_a_bill_for_each_container_is_multiplied(as_coordinator, page):
    as_coordinator.post(page, TYPED | {"bill": "23.50", "bill_is": "each"})
    assert Tally.objects.get().bill_cents == 4700


def test_a_tally_can_be_mended_and_history_keeps_both(as_coordinator, page, called_in):
    as_coordinator.post(page, TYPED)
    as_coordinator.post(page, TYPED | {"culls": "0"})
    assert Tally.objects.get().culls == 0
    change = Change.objects.filter(about=f"buy:{called_in.pk}").first()
    assert (change.before["culls"], change.after["culls"]) == (25, 0)


@pytest.mark.sqlite  # about the page alone
def test_what_is_known_stands_in_the_form(as_coordinator, page):
    as_coordinator.post(page, TYPED)
    body = as_coordinator.get(page).content.decode()
    assert 'value="35.5"' in body
    assert 'value="1.5"' in body
    assert 'value="48.00"' in body


@pytest.mark.sqlite  # about the page alone
@pytest.mark.parametrize(
    ("wrong", "sentence"),
    (
        ({"containers": "3"}, "3 came and 2 are weighed"),
        ({"culls": "80"}, "That is more than the"),
        ({"refused": "80"}, "That is more than the"),
        ({"soft": "40", "firm": "40"}, "Soft and firm together are more than the"),
        ({"tare": "40"}, "Empty containers weigh more here"),
        ({"gross_0": "35.55"}, "one decimal"),
        ({"bill": ""}, "required"),
    ),
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(as_coordinator, page, wrong, sentence):
    answer = as_coordinator.post(page, TYPED | {"note": "two soft ones"} | wrong)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert "two soft ones" in answer.content.decode()
    assert not Tally.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_more_lines_keep_what_was_typed_and_save_nothing(as_coordinator, page):
    answer = as_coordinator.post(page, TYPED | {"more": "1"})
    body = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="35.5"' in body
    assert 'name="gross_7"' in body
    assert not Tally.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_a_member_without_the_role_cannot_count(as_member, page):
    assert as_member.post(page, TYPED).status_code == 403
    assert not Tally.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_another_co_ops_delivery_is_not_there(as_outsider, page):
    assert as_outsider.post(page, TYPED).status_code == 404
    assert not Tally.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_looking_changes_nothing(as_coordinator, page):
    assert as_coordinator.get(page).status_code == 200
    assert not Tally.objects.exists()


def test_nothing_is_counted_before_the_call_in(as_coordinator, page, called_in):
    Buy.objects.update(stage=Buy.Stage.ASKING)
    answer = as_coordinator.post(page, TYPED)
    assert answer.status_code == 409
    assert "only while it is called in or collected" in answer.content.decode()


def test_a_divided_line_is_not_counted_anew(as_coordinator, divided, at):
    page = at("tally_supply", divided.pk, rows.the_supply(divided).pk)
    Buy.objects.update(stage=Buy.Stage.COLLECTED)
    answer = as_coordinator.post(page, TYPED)
    assert answer.status_code == 409
    assert "withdraw the division first" in answer.content.decode()


def test_pieces_are_counted_whole(coop, coordinator, as_coordinator, at):
    offer = rows.make_offer(rows.make_farm(coop), "Eggs", measure="count", size=180)
    buy = rows.make_called_in_buy(coordinator=coordinator, offers=[offer], asks={}, containers=1)
    page = at("tally_supply", buy.pk, rows.the_supply(buy).pk)
    typed = {"rows": "1", "containers": "1", "gross_0": "178", "bill": "30", "bill_is": "all"}
    assert as_coordinator.post(page, typed | {"gross_0": "178.5"}).status_code == 422
    assert as_coordinator.post(page, typed).status_code == 302
    assert Tally.objects.get().weighings.get().gross == 178
