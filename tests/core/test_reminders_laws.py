"""What holds of every reminder: codes come back, and quiet hours keep nobody awake for nothing.

Whether a moment could have been better is found by walking through the minutes around it, which
needs no reckoning with clocks: each minute is asked what the clocks show.
"""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from coop.core.reminders import Lead, Quiet, lead_of, next_at

ZONES = ["America/Denver", "Europe/Lisbon", "Australia/Lord_Howe", "Asia/Kolkata"]
#: A day and a half before each change of clocks of these zones in 2026, and a common day.
STARTS = [
    datetime(2026, month, day, tzinfo=UTC)
    for month, day in ((3, 7), (3, 28), (4, 3), (8, 11), (10, 2), (10, 24), (10, 31))
]
MINUTE, STEP = timedelta(minutes=1), 5

clocks = st.integers(0, 24 * 60 // STEP - 1).map(lambda n: time(*divmod(n * STEP, 60)))
zones = st.sampled_from(ZONES).map(ZoneInfo)
moments = st.builds(
    lambda start, minutes: start + minutes * STEP * MINUTE,
    st.sampled_from(STARTS),
    st.integers(0, 3 * 24 * 60 // STEP),
)
spans = st.integers(1, 30 * 60).map(lambda minutes: minutes * MINUTE)
leads = st.one_of(
    st.builds(Lead, minutes=st.integers(-100_000, 100_000)),
    st.builds(
        Lead,
        days=st.integers(-90, 90),
        clock=st.none() | st.times().map(lambda clock: clock.replace(second=0, microsecond=0)),
    ),
)


@given(leads)
def test_a_code_gives_back_its_lead(lead):
    assert lead_of(lead.code) == lead


@given(leads, moments, zones)
def test_a_lead_of_days_stays_within_a_day_of_them(lead, moment, zone):
    due = lead.of(moment, zone)
    if lead.days is None:
        assert due - moment == lead.minutes * MINUTE
    else:
        assert abs(due - moment - timedelta(days=lead.days)) < timedelta(hours=26)


@given(clocks, moments, zones)
def test_the_next_time_of_a_clock_is_the_first_that_shows_it(clock, moment, zone):
    found = next_at(clock, moment, zone)
    walked = _first(moment, lambda then: _shown(then, zone) == clock)
    # Where the clocks skip it on one day, it is taken as that much later on that day.
    assert found == walked or (moment <= found < walked and _shown(found, zone) > clock)


@given(clocks, clocks, moments, spans, spans, zones)
def test_quiet_hours_let_nothing_through_that_can_wait_or_come_before(
    start, end, due, left, known, zone
):
    quiet, until, earliest = Quiet(start, end), due + left, due - known
    found = quiet.outside(due, zone, until=until, earliest=earliest)
    if not quiet.holds(_shown(due, zone)):
        assert found == due
    elif quiet.holds(_shown(found, zone)):
        assert found == due
        # Nothing else is possible: every minute that would do is a quiet one, but where the
        # clocks skip or repeat an end of them, when they may be taken for longer than they are.
        free = _free_minutes(quiet, zone, earliest, until)
        assert not free or _clocks_change(zone, due)
    elif found > due:
        assert found < until
    else:
        assert found >= earliest


@given(clocks, clocks, moments, spans, zones)
def test_quiet_hours_never_make_mail_come_too_late(start, end, due, left, zone):
    until = due + left
    found = Quiet(start, end).outside(due, zone, until=until, earliest=due)
    assert due <= found < until


@given(clocks, clocks, moments, zones)
def test_without_a_limit_mail_waits_for_the_end_and_no_longer(start, end, due, zone):
    quiet = Quiet(start, end)
    found = quiet.outside(due, zone, until=None, earliest=due)
    awake = _first(due, lambda then: not quiet.holds(_shown(then, zone)))
    assert found == awake or _clocks_change(zone, due)
    assert not quiet.holds(_shown(found, zone))


def _shown(moment, zone):
    return moment.astimezone(zone).time()


def _first(moment, fits):
    """The first moment from `moment` on, by steps of the clocks' own minutes, that fits."""
    return next(
        then for n in range(3 * 24 * 60 // STEP) if fits(then := moment + n * STEP * MINUTE)
    )


def _free_minutes(quiet, zone, earliest, until):
    count = int((until - earliest) / MINUTE)
    return [
        then for n in range(count) if not quiet.holds(_shown(then := earliest + n * MINUTE, zone))
    ]


def _clocks_change(zone, near):
    offsets = {(near + timedelta(days=day)).astimezone(zone).utcoffset() for day in (-2, 0, 2)}
    return len(offsets) > 1
