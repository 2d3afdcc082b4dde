"""How far apart two households live, and about how long the drive takes."""

from fractions import Fraction
from math import asin, cos, floor, radians, sin, sqrt

MEAN_EARTH_RADIUS_MI = 3958.8  # 6371.0088 km, the mean radius of WGS 84 (IUGG; from memory)
ROAD_TO_STRAIGHT_LINE = Fraction(13, 10)  # common practice, no source
MILES_AN_HOUR = 25  # town and country roads together; common practice, no source
MINUTES_IN_HOUR = 60

Place = tuple[float, float]


def miles_apart(one: Place, other: Place) -> float:
    """The straight line over the ground between two places, in miles.

    Parameters:
        one, other: (latitude, longitude) in degrees, north and east positive; latitude from -90 to
            90, longitude from -180 to 180.

    Returns: miles on a sphere of MEAN_EARTH_RADIUS_MI, so within about half a percent of the true
    ground. Hills and roads are not in it.

    Raises: ValueError, naming the place, if a latitude or a longitude is out of its bounds.

    Source: the haversine formula (R. W. Sinnott, "Virtues of the Haversine", Sky and Telescope 68
    (2), 1984, page 159; from memory).

    >>> round(miles_apart((35.0, -111.0), (36.0, -111.0)), 1)
    69.1
    """
    for place in (one, other):
        _check(place)
    (north, east), (north_there, east_there) = (
        tuple(map(radians, place)) for place in (one, other)
    )
    half = (
        sin((north_there - north) / 2) ** 2
        + cos(north) * cos(north_there) * sin((east_there - east) / 2) ** 2
    )
    # Rounding may carry two opposite places a hair over 1, where no angle is.
    return 2 * MEAN_EARTH_RADIUS_MI * asin(sqrt(min(1.0, half)))


def minutes_apart(miles: float | Fraction) -> int:
    """About how long the drive takes, in whole minutes, a half rounded up.

    Parameters:
        miles: in a straight line, 0 or more; `miles_apart` gives them.

    Returns: minutes by ROAD_TO_STRAIGHT_LINE and MILES_AN_HOUR; 0 only where the miles are 0, for
    a neighbour is a minute away.

    Raises: ValueError if the miles are below zero or no number.

    >>> minutes_apart(10), minutes_apart(0.01), minutes_apart(0)
    (31, 1, 0)
    """
    if not 0 <= miles < float("inf"):
        raise ValueError(f"Miles {miles} is not a distance.")
    minutes = Fraction(miles) * ROAD_TO_STRAIGHT_LINE * MINUTES_IN_HOUR / MILES_AN_HOUR
    return max(1, floor(minutes + Fraction(1, 2))) if miles else 0


def _check(place: Place) -> None:
    for name, degrees, bound in zip(("Latitude", "Longitude"), place, (90, 180), strict=True):
        if not -bound <= degrees <= bound:
            raise ValueError(f"{name} {degrees} is not between -{bound} and {bound} degrees.")
