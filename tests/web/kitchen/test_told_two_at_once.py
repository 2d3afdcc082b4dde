"""Loads mended, seals tried and warnings sent in one moment: all are done, and told as they stand.

Over real connections. What is told of a load hangs on all of its lots; whoever comes last says it.
"""

from datetime import timedelta
from functools import partial

import pytest

from coop.kitchen.actions.loads import edit_load, suspect_load
from coop.kitchen.actions.seals import tell_fates, try_seals
from coop.kitchen.actions.warnings import warn
from coop.kitchen.models import Fate
from coop.notices.models import Matter
from coop.notices.sources import put_right
from tests.web import factories
from tests.web.at_once import at_once
from tests.web.kitchen.test_seals_told import as_run
from tests.web.kitchen_factories import make_fate, make_load, make_lot

ROUNDS = 2
ENDED = factories.NOW - timedelta(hours=13)


@pytest.fixture
def people(transactional_db):
    """Two members of two households; the first coordinates."""
    coop = factories.make_coop()
    homes = [factories.make_household(coop, name) for name in ("Ruth", "Otto")]
    return [
        factories.make_member(homes[0], "Ruth", roles=["coordinator"]),
        factories.make_member(homes[1], "Otto"),
    ]


def lots_of_a_load(people):
    load = make_load(people[0].coop, by=people[0], ended_at=ENDED, day=ENDED.date())
    return load, [make_lot(each.household, 3, load=load, counted_out=3) for each in people]


def test_both_households_try_their_seals_while_the_load_is_mended(people):
    ruth, otto = people
    for number in range(ROUNDS):
        load, (hers, his) = lots_of_a_load(people)
        came = at_once(
            partial(try_seals, hers.pk, 3, by=ruth),
            partial(try_seals, his.pk, 2, by=otto),
            partial(edit_load, load.pk, as_run(ruth, ENDED - timedelta(minutes=number)), by=ruth),
        )
        assert came == ["done", "done", "done"]
        (left,) = Matter.objects.filter(about=f"load:{load.pk}", dropped_at=None)
        assert left.household == otto.household  # one of his did not seal
        assert put_right(ruth.coop) == {}


def test_jars_processed_again_while_their_first_load_becomes_suspect(people):
    ruth, otto = people
    for _ in range(ROUNDS):
        first, (hers, his) = lots_of_a_load(people)
        try_seals(hers.pk, 1, by=ruth)
        second = make_load(ruth.coop, by=ruth, ended_at=factories.NOW, day=factories.NOW.date())
        again = make_lot(ruth.household, 2, load=second)
        make_fate(hers, Fate.What.REPROCESSED, 2, new_lot=again)
        came = at_once(
            partial(suspect_load, first.pk, "The gauge read high", by=ruth),
            partial(tell_fates, hers.pk, {"fridge": 2}, by=ruth),
            partial(try_seals, his.pk, 3, by=otto),
            partial(warn, second, "Do not eat these.", by=ruth),
        )
        assert came == ["done"] * 4
        assert put_right(ruth.coop) == {}
