"""Publishing a division: what is written, and what is refused."""

import pytest
from django.db import IntegrityError, transaction

from coop.buying.models import Ask, Buy, Division, Line, Share, Spare, Weighing
from coop.buying.queries.division import case_of
from coop.people.models import Change
from tests.web import buy_factories as rows
from tests.web import factories


@pytest.fixture
def publish(as_coordinator, short_line, at):
    """Publish as the page would send it."""

    def sent(client=as_coordinator, **typed):
        page = at("publish_division", short_line.buy_id, short_line.pk)
        return client.post(page, {"rule": "even", "seen": case_of(short_line).digest} | typed)

    return sent


def test_every_household_has_its_share_and_the_buy_is_divided(
    publish, short_line, household, other_household, at
):
    answer = publish()
    assert answer.url == at("divide", short_line.buy_id, short_line.pk)
    shares = dict(Share.objects.values_list("household", "amount"))
    assert shares == {household.pk: 400, other_household.pk: 200}
    assert Buy.objects.get().stage == Buy.Stage.DIVIDED


def test_who_published_it_and_when_is_kept(publish, coordinator, short_buy):
    publish()
    division = Division.objects.get()
    assert (division.published_by, division.published_at) == (coordinator, factories.NOW)
    changes = Change.objects.filter(about=f"buy:{short_buy.pk}", member=coordinator)
    assert changes.filter(sentence__contains="divided by “Even”").exists()


def test_what_is_left_over_goes_to_the_spare_table(publish, short_line):
    Weighing.objects.update(gross=603)
    publish()
    assert Division.objects.get().left_over == 3
    assert Division.objects.get().surplus == 0
    assert Spare.objects.get().amount == 3


def test_what_nobody_asked_for_is_a_surplus(publish):
    Weighing.objects.update(gross=760)
    publish()
    assert (Division.objects.get().left_over, Division.objects.get().surplus) == (60, 60)
    assert Spare.objects.get().amount == 60


def test_who_asked_and_got_nothing_has_a_share_of_nothing(publish, other_household):
    Weighing.objects.update(gross=300)
    publish(rule="even_loss", why="the large askers have a market stall")
    assert Share.objects.get(household=other_household).amount == 0


def test_another_rule_than_the_buys_needs_a_reason(publish):
    answer = publish(rule="season")
    assert answer.status_code == 422
    assert "Say why not" in answer.content.decode()
    assert not Division.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_the_reason_for_another_rule_is_for_everybody_to_read(publish, short_buy, as_member):
    answer = publish(rule="season", why="agreed on the phone with both")
    assert "agreed on the phone with both" in as_member.get(answer.url).content.decode()
    change = Change.objects.filter(about=f"buy:{short_buy.pk}", sentence__contains="divided by")
    assert "agreed on the phone with both" in change.get().sentence


@pytest.mark.sqlite  # about the page alone
def test_a_rule_that_is_none_is_refused_at_its_field(publish):
    answer = publish(rule="by lot")
    assert answer.status_code == 422
    assert not Division.objects.exists()


@pytest.mark.parametrize(
    "change",
    (
        lambda: Weighing.objects.update(gross=590),
        lambda: Ask.objects.filter(wanted=500).update(wanted=450),
    ),
)
def test_a_tally_or_an_ask_changed_meanwhile_is_seen_first(publish, short_line, change):
    seen = case_of(short_line).digest
    change()
    answer = publish(seen=seen)
    assert answer.status_code == 409
    assert "has changed since you looked" in answer.content.decode()
    assert not Division.objects.exists()


def test_a_second_division_is_refused_and_says_whose_stands(publish):
    publish()
    answer = publish(rule="season", why="better")
    assert answer.status_code == 409
    assert "Ruth Adeyemi published a division" in answer.content.decode()
    assert Division.objects.get().rule == "even"


def test_the_database_itself_keeps_one_standing_division(publish, coordinator):
    publish()
    with pytest.raises(IntegrityError), transaction.atomic():
        Division.objects.create(
            line=Line.objects.get(), rule="even", amount=600, published_by=coordinator
        )


@pytest.mark.sqlite  # about the page alone
def test_a_member_without_the_role_cannot_publish(publish, as_member):
    assert publish(as_member).status_code == 403
    assert not Division.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_another_co_op_cannot_publish(publish, as_outsider):
    assert publish(as_outsider).status_code == 404
    assert not Division.objects.exists()


@pytest.mark.sqlite  # about the page alone
def test_publishing_is_never_done_by_looking(as_coordinator, short_line, at):
    page = at("publish_division", short_line.buy_id, short_line.pk)
    assert as_coordinator.get(page).status_code == 405


def test_nothing_is_divided_before_the_tally_is_finished(as_coordinator, called_in, at):
    page = at("publish_division", called_in.pk, rows.the_line(called_in).pk)
    answer = as_coordinator.post(page, {"rule": "season", "seen": "x"})
    assert answer.status_code == 409
    assert "only while it is collected" in answer.content.decode()


def test_the_buy_is_divided_once_its_last_line_is(coop, coordinator, as_coordinator, at):
    offers = [factories.make_offer(factories.make_farm(coop), name) for name in ("Corn", "Beans")]
    buy = rows.make_collected_buy(coordinator=coordinator, offers=offers)
    first, second = buy.lines.order_by("position")
    rows.make_ask(second, factories.make_household(coop), 100, or_none=True)
    for line, stage in ((first, Buy.Stage.COLLECTED), (second, Buy.Stage.DIVIDED)):
        typed = {"rule": "season", "seen": case_of(line).digest}
        as_coordinator.post(at("publish_division", buy.pk, line.pk), typed)
        assert Buy.objects.get().stage == stage


@pytest.mark.sqlite  # about the page alone
def test_the_published_page_shows_every_share_to_every_member(publish, as_member, short_line, at):
    publish()
    text = as_member.get(at("divide", short_line.buy_id, short_line.pk)).content.decode()
    assert "Shared by “Even”." in text
    assert "Published by Ruth Adeyemi" in text
    assert "Withdraw this division" not in text
