"""Those whom a buy concerns: who asks, who has not answered, who has something to fetch."""

from __future__ import annotations

from functools import partial

from django.db.models import Q
from django.urls import reverse

from coop.buying.models import Ask, Buy, Share, SpareClaim
from coop.buying.queries.asks import are_asks_open
from coop.buying.queries.buys import buy_for
from coop.buying.rights import can_run
from coop.notices.circles import Concern, Part, declare
from coop.people.models import Household, Member

CIRCLE = "buy"


def register() -> None:
    """Make the circle known; called once, when the app is ready."""
    declare(CIRCLE, find)


def find(member: Member, pk: int) -> Concern:
    """A buy as what concerns households. Absent and another co-op's are the same 404."""
    buy = buy_for(member, pk)
    return Concern(
        circle=CIRCLE,
        pk=pk,
        title=buy.title,
        path=reverse("buying:buy", args=[buy.coop.slug, pk]),
        may_write=can_run(member, buy),
        parts=partial(parts_of, buy),
        matters=Q(about=f"{CIRCLE}:{pk}"),
    )


def parts_of(buy: Buy) -> list[Part]:
    """Whom a buy concerns now, the widest first. Four queries at the most."""
    answers: dict[int, bool] = {}
    for household, wanted in Ask.objects.filter(line__buy=buy).values_list("household", "wanted"):
        answers[household] = answers.get(household, False) or wanted > 0
    parts: list[Part] = []
    if are_asks_open(buy):
        homes = Household.objects.filter(coop=buy.coop, left_at=None)
        everybody = frozenset(homes.values_list("pk", flat=True))
        parts = [
            Part("everybody", "Every household", everybody),
            Part("unanswered", "Who has not answered", everybody.difference(answers)),
        ]
    parts.append(Part("asked", "Who asked", frozenset(key for key in answers if answers[key])))
    if buy.stage in {Buy.Stage.DIVIDED, Buy.Stage.SQUARED}:
        sharing, waiting = _sharing(buy)
        parts += [
            Part("sharing", "Who has a share", sharing),
            Part("to_fetch", "Who has something to fetch yet", waiting),
        ]
    return parts


def _sharing(buy: Buy) -> tuple[frozenset[int], frozenset[int]]:
    """Households with a share or a claim, and those with one that is still to be fetched."""
    of_buy = {"division__line__buy": buy, "division__withdrawn_at": None}
    shares = Share.objects.filter(**of_buy, amount__gt=0)
    claims = SpareClaim.objects.filter(**{f"spare__{name}": its for name, its in of_buy.items()})
    rows = [
        *shares.values_list("household", "fetched_at", "released_at"),
        *((*row, None) for row in claims.values_list("household", "fetched_at")),
    ]
    waiting = (home for home, fetched, released in rows if fetched is None and released is None)
    return frozenset(home for home, _, _ in rows), frozenset(waiting)
