"""A household asks, changes its ask and gives it up, until the close."""

import pytest
from django.http import Http404

from coop.buying.actions.asks import AskTerms, give_up_ask, place_ask
from coop.buying.actions.closing import close_asks, reopen_asks
from coop.buying.errors import AsksClosed, NotAllowed, Refused, TooLate, WrongStage
from coop.buying.models import Ask, Release, RulesAccepted
from coop.people.changes import changes_of
from tests.web.buy_factories import make_ask, make_buy, make_called_in_buy, the_line
from tests.web.factories import NOW


@pytest.fixture
def buy(coop, coordinator):
    return make_buy(coop, coordinator=coordinator)


@pytest.fixture
def ask_for(buy, member):
    """Ask as `member` for its household, the rules accepted unless told otherwise."""

    def ask(wanted=350, *, by=member, household=None, accept_rules=True, **terms):
        return place_ask(
            buy.pk,
            the_line(buy).pk,
            AskTerms(wanted, **terms),
            household=household or member.household,
            by=by,
            accept_rules=accept_rules,
        )

    return ask


def plain(sentence):
    """The sentence with plain spaces, whichever kind holds a number and its unit together."""
    return " ".join(sentence.split())


def refused_at(act):
    with pytest.raises(Refused) as refusal:
        act()
    return refusal.value.field


def test_an_ask_is_kept_with_all_its_terms(ask_for):
    ask_for(700, at_least=350, at_most=1050, whole=350, purpose="Freezing")
    ask = Ask.objects.get()
    assert (ask.wanted, ask.at_least, ask.at_most, ask.whole) == (700, 350, 1050, 350)
    assert ask.purpose == "Freezing"


def test_the_first_ask_accepts_the_rules_and_the_next_need_not(ask_for, buy):
    assert refused_at(lambda: ask_for(accept_rules=False)) == "accept_rules"
    assert not Ask.objects.exists()
    ask_for(350)
    ask_for(400, accept_rules=False)
    assert RulesAccepted.objects.filter(buy=buy).count() == 1
    assert Ask.objects.get().wanted == 400


def test_a_changed_ask_leaves_who_and_what_in_the_history(ask_for, buy, coop, member):
    ask_for(350)
    ask_for(175)
    latest = changes_of(coop, buy).first()
    assert (latest.member, latest.before["wanted"], latest.after["wanted"]) == (member, 350, 175)
    assert plain(latest.sentence) == "Castell asks for 17.5 lb Sweet corn"


@pytest.mark.parametrize(
    ("terms", "field"),
    [
        ({"wanted": 0}, "wanted"),
        ({"wanted": 10**6}, "wanted"),
        ({"wanted": 352}, "wanted"),
        ({"wanted": 350, "at_least": 400}, "at_least"),
        ({"wanted": 350, "at_most": 300}, "at_most"),
        ({"wanted": 350, "at_most": 353}, "at_most"),
        ({"wanted": 400, "whole": 350}, "wanted"),
        ({"wanted": 700, "at_least": 100, "whole": 350}, "at_least"),
        ({"wanted": 400, "whole": 200}, "whole"),
    ],
)
def test_an_ask_that_cannot_be_is_refused_at_its_field(ask_for, terms, field):
    assert refused_at(lambda: ask_for(**terms)) == field
    assert not Ask.objects.exists()


def test_a_refusal_names_the_amounts_near_by(ask_for):
    with pytest.raises(Refused) as refusal:
        ask_for(500, whole=350)
    assert plain(refusal.value.sentence) == "Whole containers hold 35 lb: make it 35 lb or 70 lb."


def test_all_or_nothing_without_a_minimum_means_all_of_it(ask_for):
    assert ask_for(350, or_none=True).at_least == 350
    assert ask_for(350, or_none=True, at_least=100).at_least == 100


def test_a_coordinator_asks_for_a_household_that_phones_in(ask_for, coordinator, member):
    ask = ask_for(350, by=coordinator)
    assert (ask.household, ask.by) == (member.household, coordinator)


def test_a_member_cannot_ask_for_another_household(ask_for, other_household_member):
    with pytest.raises(NotAllowed):
        ask_for(by=other_household_member)
    assert not Ask.objects.exists()


def test_another_coops_buy_is_absent(ask_for, outsider):
    with pytest.raises(Http404):
        ask_for(by=outsider, household=outsider.household)


def test_an_ask_given_up_stays_as_nothing(ask_for, buy, member):
    ask_for(350, at_least=350)
    give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)
    ask = Ask.objects.get()
    assert (ask.wanted, ask.at_least) == (0, 0)
    with pytest.raises(Refused):
        give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=member)


def test_after_the_close_nobody_asks_or_gives_up(ask_for, buy, member, coordinator, clock):
    ask_for(350)
    clock.move_to(buy.asks_close_at)
    for by in (member, coordinator):
        with pytest.raises(AsksClosed):
            ask_for(400, by=by)
        with pytest.raises(AsksClosed):
            give_up_ask(buy.pk, the_line(buy).pk, household=member.household, by=by)


def test_once_called_in_an_ask_is_too_late(coop, member):
    buy = make_called_in_buy(coop)
    with pytest.raises(WrongStage):
        place_ask(buy.pk, the_line(buy).pk, AskTerms(350), household=member.household, by=member)


# ---- the close ------------------------------------------------------------------------------
def test_asks_are_closed_early_and_opened_again(ask_for, buy, coordinator):
    close_asks(buy.pk, by=coordinator)
    with pytest.raises(AsksClosed):
        ask_for(350)
    with pytest.raises(TooLate):
        close_asks(buy.pk, by=coordinator)
    reopen_asks(buy.pk, buy.pickup_from, by=coordinator)
    assert ask_for(350).wanted == 350


def test_asks_cannot_reopen_into_the_past_or_past_the_pickup(buy, coordinator):
    assert refused_at(lambda: reopen_asks(buy.pk, NOW, by=coordinator)) == "until"
    assert refused_at(lambda: reopen_asks(buy.pk, buy.pickup_to, by=coordinator)) == "until"


def test_reopening_takes_back_what_was_offered_to_takers(buy, coordinator):
    ask = make_ask(the_line(buy))
    release = Release.objects.create(ask=ask, amount=50, offered_by=coordinator)
    reopen_asks(buy.pk, buy.pickup_from, by=coordinator)
    release.refresh_from_db()
    assert release.withdrawn_at == NOW


def test_a_plain_member_closes_nothing(buy, member):
    for act in (
        lambda: close_asks(buy.pk, by=member),
        lambda: reopen_asks(buy.pk, buy.pickup_from, by=member),
    ):
        with pytest.raises(NotAllowed):
            act()
