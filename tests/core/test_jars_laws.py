"""Laws that every match of jars keeps."""

from hypothesis import given, settings
from hypothesis import strategies as st

from coop.core.jars import match_spares
from tests.core.slow_jars import check_match, jars_lent, made_up

CASES = st.builds(
    made_up,
    st.integers(0, 10**9),
    households=st.integers(2, 9),
    kinds=st.integers(1, 3),
    most=st.sampled_from([2, 24]),
    known=st.sampled_from([0.3, 0.8, 1.0]),
)
few = settings(max_examples=40, deadline=None)


@few
@given(CASES)
def test_nothing_moves_beyond_a_spare_or_a_need_and_the_sums_are_right(case):
    check_match(match_spares(*case), *case)


@few
@given(CASES)
def test_the_same_case_in_another_order_gives_the_same_match(case):
    needs, spares, minutes = (dict(reversed(part.items())) for part in case)
    turned = {(other, one): way for (one, other), way in minutes.items()}
    assert match_spares(needs, spares, turned) == match_spares(*case)


@few
@given(CASES, st.data())
def test_one_more_spare_never_meets_fewer_jars(case, data):
    needs, spares, minutes = case
    before = jars_lent(match_spares(*case))
    who = data.draw(st.sampled_from(sorted({*needs, *spares} or {"household 00"})))
    more = {**spares, who: {**spares.get(who, {})}}
    more[who]["kind 00"] = more[who].get("kind 00", 0) + data.draw(st.integers(1, 9))
    assert jars_lent(match_spares(needs, more, minutes)) >= before


@few
@given(CASES)
def test_other_names_give_the_same_totals(case):
    needs, spares, minutes = case
    names = sorted({*needs, *spares, *(name for pair in minutes for name in pair)})
    new = {name: f"name {len(names) - place:02}" for place, name in enumerate(names)}
    renamed = match_spares(
        {new[name]: own for name, own in needs.items()},
        {new[name]: own for name, own in spares.items()},
        {(new[one], new[other]): way for (one, other), way in minutes.items()},
    )
    match = match_spares(*case)
    assert (jars_lent(renamed), renamed.households_visited, renamed.travel) == (
        jars_lent(match),
        match.households_visited,
        match.travel,
    )


@few
@given(CASES)
def test_a_kind_alone_is_met_as_far_as_with_the_others(case):
    needs, spares, minutes = case
    apart = {
        kind: jars_lent(
            match_spares(
                {name: {kind: own.get(kind, 0)} for name, own in needs.items()},
                {name: {kind: own.get(kind, 0)} for name, own in spares.items()},
                minutes,
            )
        )
        for kind in {kind for own in (*needs.values(), *spares.values()) for kind in own}
    }
    assert jars_lent(match_spares(*case)) == sum(apart.values())
