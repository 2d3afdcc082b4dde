"""A buy by the app's own acts, and what its letters say: for the tests of what is told of buys."""

from datetime import UTC, datetime, timedelta

from coop.buying.actions.asks import AskTerms, place_ask
from coop.buying.actions.buys import BuyPlan, BuyRules, post_buy
from coop.buying.actions.call_in import call_in
from coop.buying.actions.closing import close_asks
from coop.buying.actions.divide import publish_division
from coop.buying.actions.lines import add_line
from coop.buying.actions.tally import Loaded, OnScale, finish_tally, record_tally
from coop.buying.models import Buy
from coop.core.division import Rule
from coop.notices.models import Notice
from coop.people.models import Household, Member
from tests.web.buy_factories import the_line, the_supply
from tests.web.factories import make_farm, make_offer
from tests.web.notices.postman import post

BARN = "The barn behind the grange hall"
#: By the clocks of Denver: Friday at 14:00, and Saturday from 8:00 to 10:00.
CLOSE = datetime(2026, 8, 14, 20, tzinfo=UTC)
PICKUP = datetime(2026, 8, 15, 14, tzinfo=UTC)
PICKUP_ENDS = datetime(2026, 8, 15, 16, tzinfo=UTC)
SIX_TODAY = datetime(2026, 8, 12, 0, tzinfo=UTC)  # the daily mail of the day on which tests begin
PLAN = BuyPlan(
    "Sweet corn",
    asks_close_at=CLOSE,
    pickup_place=BARN,
    pickup_from=PICKUP,
    pickup_to=PICKUP_ENDS,
)


def posted(by: Member, *, produce: str = "Sweet corn", **rules: object) -> Buy:
    """A buy of one produce that takes asks, fronted by who posts it."""
    front = {"cover": "fronted", "fronted_by": by.household, "front_limit_cents": 1_000_000}
    buy = post_buy(PLAN, BuyRules(**front | rules), by=by)
    add_line(buy.pk, [make_offer(make_farm(by.coop), produce).pk], by=by)
    return buy


def ask(buy: Buy, by: Member, wanted: int = 350, **terms: object) -> None:
    """A household asks by one of its members, 35 lb unless said otherwise."""
    place_ask(
        buy.pk,
        the_line(buy).pk,
        AskTerms(wanted=wanted, **terms),
        household=by.household,
        by=by,
        accept_rules=True,
    )


def order(buy: Buy, by: Member, containers: int = 2) -> None:
    """Close the asks, where the clock has not, and call the buy in."""
    buy.refresh_from_db()
    if datetime.now(UTC) < buy.asks_close_at:
        close_asks(buy.pk, by=by)
    call_in(buy.pk, {the_supply(buy).pk: containers}, by=by)


def tally(buy: Buy, by: Member, gross: int = 700) -> None:
    """All that was called in came; the scale said so much."""
    count = the_supply(buy).called_in or 0
    scale = OnScale(containers=count, gross=gross)
    record_tally(the_supply(buy), Loaded(count, (scale,), bill_cents=4800), by=by)
    finish_tally(buy, by=by)


def divide(buy: Buy, by: Member) -> None:
    """Divide the one line of a buy evenly."""
    publish_division(the_line(buy), Rule.EVEN, by=by, why="It is simple.")


def letters() -> dict[str, tuple[str, str]]:
    """Who is told what at this moment: the subject and the first line of every letter."""
    return {letter.to[0]: (letter.subject, letter.body.splitlines()[0]) for letter in post()}


def dues(who: Member | Household, kind: str) -> list[datetime]:
    """When a member, or a household's one member, is told of a kind, past and to come."""
    member = who if isinstance(who, Member) else who.members.get()
    rows = Notice.objects.filter(member=member, matter__kind=kind, matter__dropped_at=None)
    return sorted(rows.values_list("due_at", flat=True))


def hours_before(moment: datetime, *hours: float) -> list[datetime]:
    """So many hours before a moment each."""
    return [moment - timedelta(hours=each) for each in hours]
