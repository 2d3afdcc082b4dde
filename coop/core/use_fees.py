"""What the use of a thing costs."""

MINUTES_IN_HOUR = 60


def use_fee(cents: int, per: str, minutes: int) -> int:
    """The fee for one booking, in cents.

    Parameters:
        cents: the fee for one use or one hour, 0 or more.
        per: "use", or "hour" for each hour that was started.
        minutes: how long the booking lasts, above 0.

    Raises: ValueError, naming what is wrong, for anything else.

    >>> use_fee(500, "use", 150), use_fee(200, "hour", 150)
    (500, 600)
    """
    if cents < 0:
        raise ValueError(f"The fee {cents} is below zero.")
    if minutes <= 0:
        raise ValueError(f"A booking of {minutes} minutes is none.")
    if per == "use":
        return cents
    if per == "hour":
        return cents * -(-minutes // MINUTES_IN_HOUR)
    raise ValueError(f"A fee is for each use or each hour, not for each {per!r}.")
