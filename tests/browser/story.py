"""Who takes part in the whole buy, and what is known before it begins."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from coop.buying.models import Buy as BuyRow
from tests.browser import by_hand, corn
from tests.web import buy_factories, factories

PASSWORD = "nine-ears-to-a-pot"
RULE = "season"  # the one that the buy states


@dataclass
class Story:
    """Who takes part, each with a page, and the books as they must stand."""

    coop: Any
    at: dict[str, Any]
    asks_close: datetime
    buy: str = ""
    books: by_hand.Books = field(default_factory=by_hand.Books)

    @property
    def slug(self) -> str:
        return self.coop.slug

    @property
    def coordinator(self) -> Any:
        return self.at[corn.COORDINATOR]

    @property
    def treasurer(self) -> Any:
        return self.at[corn.TREASURER]

    @property
    def pickup(self) -> datetime:
        return self.asks_close + timedelta(days=1)


def member_of(coop, name):
    roles = {corn.COORDINATOR: ["coordinator"], corn.TREASURER: ["treasurer"]}.get(name, [])
    user = factories.make_user(f"Kim {name}", password=PASSWORD)
    return factories.make_member(factories.make_household(coop, name), roles=roles, user=user)


def play_the_season_so_far(story, people):
    """A buy of beans, divided, squared and over: who is how far behind."""
    coordinator, day = people[corn.COORDINATOR], story.pickup - timedelta(hours=10)
    buy = buy_factories.make_buy(
        story.coop, "Green beans", coordinator=coordinator, asks_close_at=day - timedelta(days=1),
        pickup_from=day, pickup_to=day + timedelta(hours=1), stage=BuyRow.Stage.SQUARED,
    )  # fmt: skip
    line = buy_factories.the_line(buy)
    for name, (_, asked) in corn.PAST.items():
        buy_factories.make_ask(line, people[name].household, asked)
    shares = {people[name].household: got for name, (got, _) in corn.PAST.items()}
    buy_factories.make_division(line, shares)
