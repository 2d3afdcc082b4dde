"""Laws of batches, pounds and shared loads, for every food with a yield and any weight."""

from collections.abc import Mapping
from fractions import Fraction
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from coop.core.preserving import (
    BatchPlan,
    LoadKey,
    LoadPart,
    NoPublishedYield,
    Process,
    jars_of,
    plan_batch,
    plan_jars,
    pounds_for,
    processes_at,
    share_loads,
    syrup_needed,
    syrups_for,
)

ALTITUDES = (0, 1500, 5200)
PROCESSES = [each for altitude_ft in ALTITUDES for each in processes_at(altitude_ft)]
JARS = ("half_pint", "pint", "quart", "half_gallon")


def _has_yield(produce: str, product: str) -> bool:
    try:
        jars_of(produce, product, 0, "pint")
    except NoPublishedYield:
        return False
    return True


FOODS = sorted(
    {key for key in {(each.produce, each.product) for each in PROCESSES} if _has_yield(*key)}
)
YIELDING = [each for each in PROCESSES if (each.produce, each.product) in FOODS]

#: Up to a pick-up truck of produce, by thirds and tenths of a pound.
POUNDS = st.builds(Fraction, st.integers(0, 60000), st.sampled_from([1, 3, 10]))
CAPACITIES = st.integers(1, 20)


def batch(process: Process, pounds: Fraction, jars_per_load: int) -> BatchPlan:
    return plan_batch(
        process.produce,
        process.product,
        pounds,
        process.pack,
        process.method,
        process.jar,
        jars_per_load,
        process.altitude_low_ft,
        process.option,
    )


def test_most_foods_have_a_yield() -> None:
    # 91 rows: 18 recipes print no pounds, and the pickles in general have no process.
    assert len(FOODS) == 91 - 18 - 1


@given(st.sampled_from(FOODS), st.sampled_from(JARS), POUNDS, POUNDS)
def test_more_pounds_never_make_fewer_jars(
    food: tuple[str, str], jar: str, pounds: Fraction, more: Fraction
) -> None:
    before, after = jars_of(*food, pounds, jar), jars_of(*food, pounds + more, jar)
    assert before.low <= after.low
    assert before.likely <= after.likely
    assert before.high <= after.high


@given(st.sampled_from(FOODS), POUNDS)
def test_the_likely_lies_between_and_a_smaller_jar_makes_no_fewer(
    food: tuple[str, str], pounds: Fraction
) -> None:
    ranges = [jars_of(*food, pounds, jar) for jar in JARS]
    for each in ranges:
        assert 0 <= each.low <= each.likely <= each.high
    assert ranges[0].low >= 2 * ranges[1].low
    assert ranges[2].high >= 2 * ranges[3].high


@given(st.sampled_from(YIELDING), POUNDS, CAPACITIES)
def test_the_loads_hold_all_likely_jars_and_one_load_fewer_does_not(
    process: Process, pounds: Fraction, jars_per_load: int
) -> None:
    plan = batch(process, pounds, jars_per_load)
    assert plan.loads * jars_per_load >= plan.jars_likely
    assert plan.jars_likely == 0 or (plan.loads - 1) * jars_per_load < plan.jars_likely
    assert plan.last_load == plan.jars_likely - max(0, plan.loads - 1) * jars_per_load
    assert (plan.fill is None) == (plan.last_load in {0, jars_per_load})
    assert plan.stove_minutes_low <= plan.stove_minutes_high
    assert plan.stove_minutes_low >= plan.loads * process.minutes
    assert plan.cautions


@given(st.sampled_from(YIELDING), POUNDS, CAPACITIES)
def test_the_pounds_that_fill_the_last_load_fill_it_and_those_that_save_it_save_it(
    process: Process, pounds: Fraction, jars_per_load: int
) -> None:
    plan = batch(process, pounds, jars_per_load)
    if plan.fill is None:
        return
    assert plan.fill.jars_more + plan.last_load == jars_per_load
    assert plan.fill.jars_fewer == plan.last_load
    assert plan.fill.pounds_more is not None
    assert plan.fill.pounds_fewer is not None
    filled = batch(process, pounds + plan.fill.pounds_more, jars_per_load)
    assert (filled.loads, filled.fill) == (plan.loads, None)
    almost = batch(process, pounds + plan.fill.pounds_more - Fraction(1, 10), jars_per_load)
    assert almost.jars_likely < filled.jars_likely
    saved = batch(process, pounds - plan.fill.pounds_fewer, jars_per_load)
    assert (saved.loads, saved.fill) == (plan.loads - 1, None)


@given(st.sampled_from(FOODS), st.dictionaries(st.sampled_from(JARS), st.integers(0, 300)))
def test_planning_back_and_forth_agrees(food: tuple[str, str], wanted: Mapping[str, int]) -> None:
    needed = pounds_for(*food, wanted)
    assert needed.safe >= needed.likely
    alone = {jar: pounds_for(*food, {jar: count}) for jar, count in wanted.items()}
    assert needed.likely == sum(each.likely for each in alone.values())
    assert needed.safe == sum(each.safe for each in alone.values())
    for jar, count in wanted.items():
        assert jars_of(*food, alone[jar].likely, jar).likely >= count
        assert jars_of(*food, alone[jar].safe, jar).low >= count
        if count:
            less = alone[jar].likely - Fraction(1, 10)
            assert jars_of(*food, less, jar).likely < count


@given(st.sampled_from(FOODS), st.sampled_from(JARS), POUNDS)
def test_the_jars_of_some_pounds_need_no_more_than_those_pounds(
    food: tuple[str, str], jar: str, pounds: Fraction
) -> None:
    likely = jars_of(*food, pounds, jar).likely
    assert pounds_for(*food, {jar: likely}).likely < pounds + Fraction(1, 10)


@given(st.sampled_from(PROCESSES), st.integers(0, 200), CAPACITIES)
def test_typed_jars_are_planned_as_they_are(
    process: Process, jars: int, jars_per_load: int
) -> None:
    plan = plan_jars(
        process.produce,
        process.product,
        jars,
        process.pack,
        process.method,
        process.jar,
        jars_per_load,
        process.altitude_low_ft,
        process.option,
    )
    assert plan.jars_low == plan.jars_likely == plan.jars_high == jars
    assert plan.loads == ceil(jars / jars_per_load)
    assert plan.process == process


@given(
    st.sampled_from([each for each in PROCESSES if syrups_for(each)]),
    st.integers(0, 99),
    st.integers(0, 99),
)
def test_syrup_for_two_lots_of_jars_is_the_sum(process: Process, some: int, more: int) -> None:
    for syrup in syrups_for(process):
        both = syrup_needed(process, syrup, some + more)
        parts = [syrup_needed(process, syrup, jars) for jars in (some, more)]
        assert both.water_cups == sum(each.water_cups for each in parts)
        assert both.sugar_cups == sum(each.sugar_cups for each in parts)


KEYS = st.builds(
    LoadKey,
    st.just("dial_gauge"),
    st.sampled_from([20, 25]),
    st.sampled_from([11, 12]),
    st.sampled_from(["pint", "quart"]),
)
PARTS = st.lists(
    st.builds(
        LoadPart,
        st.sampled_from(["Adeyemi", "Brandt", "Castell"]),
        KEYS,
        st.integers(0, 30),
        st.sampled_from([7, 9]),
    ),
    max_size=12,
)


@given(PARTS)
def test_shared_loads_are_fewer_than_apart_and_hold_only_jars_of_their_key(
    parts: list[LoadPart],
) -> None:
    given_jars = [(part.key, part.capacity, part.owner, part.jars) for part in parts]
    for shared in share_loads(parts):
        apart = [ceil(jars / shared.capacity) for _, jars in shared.jars]
        assert shared.loads_together < shared.loads_apart == sum(apart)
        jars = sum(count for _, count in shared.jars)
        assert shared.loads_together * shared.capacity >= jars
        assert (shared.loads_together - 1) * shared.capacity < jars
        for owner, count in shared.jars:
            given_jars.remove((shared.key, shared.capacity, owner, count))


@given(PARTS)
def test_after_sharing_no_key_could_save_another_load(parts: list[LoadPart]) -> None:
    saved: dict[tuple[LoadKey, int], int] = {}
    for shared in share_loads(parts):
        saved[shared.key, shared.capacity] = shared.loads_apart - shared.loads_together
    for key, capacity in {(part.key, part.capacity) for part in parts}:
        jars = [part.jars for part in parts if (part.key, part.capacity) == (key, capacity)]
        most = sum(ceil(count / capacity) for count in jars) - ceil(sum(jars) / capacity)
        assert saved.get((key, capacity), 0) == most
