"""Starts that are proposed, against every minute tried one by one."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from coop.core.proposals import common, first_fit, longest, quarter_after, starts
from coop.core.spans import joined

DAY = datetime(2026, 8, 11, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
spans = st.lists(
    st.tuples(st.integers(0, 300), st.integers(0, 300)).map(
        lambda pair: (DAY + min(pair) * MINUTE, DAY + max(pair) * MINUTE)
    ),
    max_size=4,
).map(joined)
lengths = st.integers(1, 90).map(lambda minutes: minutes * MINUTE)


def lies_in(start, end, some):
    return any(first <= start and end <= last for first, last in some)


def may_start(at, length, free, parts):
    """Whether a length may be booked from a minute, by the words of `starts` alone."""
    if not lies_in(at, at + length, free):
        return False
    return any(
        first <= at and (at + length <= last if last - first >= length else at < last)
        for first, last in parts
    )


@given(spans, lengths, spans)
def test_every_start_may_be_booked_and_the_first_is_near_the_first_that_may(free, length, parts):
    found = list(starts(free, length, parts))
    tried = [DAY + minute * MINUTE for minute in range(301)]
    possible = [at for at in tried if may_start(at, length, free, parts)]
    assert all(at in possible for at in found)
    assert bool(found) == bool(possible)
    if possible:
        # On a quarter where there is room in the first stretch, else at its very start.
        assert timedelta() <= found[0] - possible[0] < timedelta(minutes=15)


@given(spans, lengths)
def test_without_parts_each_free_span_that_is_long_enough_has_one_start(free, length):
    enough = [span for span in free if span[1] - span[0] >= length]
    found = list(starts(free, length))
    assert len(found) == len(enough)
    for at, (first, last) in zip(found, enough, strict=True):
        neat = quarter_after(first)
        assert at == (neat if neat + length <= last else first)
    assert first_fit(free, length) == ((found[0], found[0] + length) if found else None)


@given(spans, spans)
def test_common_time_is_what_lies_in_both(one, other):
    both = list(common(one, other))
    for minute in range(301):
        at, after = DAY + minute * MINUTE, DAY + (minute + 1) * MINUTE
        assert lies_in(at, after, both) == (lies_in(at, after, one) and lies_in(at, after, other))


@given(spans)
def test_the_longest_is_a_whole_number_of_quarters_that_fits(free):
    most = longest(free)
    assert most % timedelta(minutes=15) == timedelta()
    assert not most or first_fit(free, most)
    assert first_fit(free, most + timedelta(minutes=15)) is None
