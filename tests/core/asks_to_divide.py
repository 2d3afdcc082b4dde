"""Problems of dividing, for Hypothesis."""

from hypothesis import strategies as st

from coop.core.division import Ask, Rule

rules = st.sampled_from(list(Rule))
published_rules = st.sampled_from([rule for rule in Rule if rule != Rule.SEASON])
exact_amounts = st.fractions(min_value=0, max_value=100, max_denominator=12)


@st.composite
def claims_problems(draw, smallest=1):
    """An amount, and claims that it does not pass, as fractions."""
    claims = draw(st.lists(exact_amounts, min_size=smallest, max_size=7))
    part = draw(st.fractions(min_value=0, max_value=1, max_denominator=60))
    return part * sum(claims), claims


def plain_asks(largest=40, most=12, with_past=False):
    """Asks of one step without bounds."""
    past = st.integers(0, 30) if with_past else st.just(0)
    ask = st.builds(Ask, wanted=st.integers(0, largest), past_asked=past, past_received=past)
    return st.lists(ask, min_size=1, max_size=most)


@st.composite
def bounded_ask(draw, largest=9, steps=(1, 1, 2, 3, 4), gaps=True, with_past=True):
    """An ask with any bounds that it can have."""
    step = draw(st.sampled_from(steps))
    wanted = draw(st.integers(0, largest))
    limit = draw(st.none() | st.integers(0, largest))
    top = (wanted if limit is None else limit) // step * step
    past = st.integers(0, 12) if with_past else st.just(0)
    return Ask(
        wanted,
        at_least=draw(st.integers(0, top)),
        at_most=limit,
        step=step,
        or_none=gaps and draw(st.booleans()),
        past_asked=draw(past),
        past_received=draw(past),
    )


@st.composite
def bounded_problems(draw, most=4, spare=25, **choices_of_ask):
    """An amount that covers what is promised, asks with bounds and steps, and a tie order."""
    asks = draw(st.lists(bounded_ask(**choices_of_ask), min_size=1, max_size=most))
    amount = sum(ask.promised for ask in asks) + draw(st.integers(0, spare))
    return amount, asks, draw(st.permutations(range(len(asks))))
