"""How far apart households live, against published distances and the laws of distances."""

from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coop.core.distance import MEAN_EARTH_RADIUS_MI, miles_apart, minutes_apart

PLACES = st.tuples(st.floats(-90, 90), st.floats(-180, 180))
NASHVILLE, LOS_ANGELES = (36.12, -86.67), (33.94, -118.40)  # their airports


def test_two_airports():
    """The usual worked example of the haversine: 2887.26 km at a radius of 6372.8 km (from memory).

    Rescaled to the radius used here, since a distance on a sphere grows with it.
    """
    miles = 2887.26 * MEAN_EARTH_RADIUS_MI / 6372.8
    assert miles_apart(NASHVILLE, LOS_ANGELES) == pytest.approx(miles, abs=0.01)


def test_new_york_and_los_angeles():
    """Published as about 2,445 miles (3,935 km) in a straight line (from memory), city to city."""
    assert miles_apart((40.7128, -74.0060), (34.0522, -118.2437)) == pytest.approx(2445, abs=3)


def test_a_degree_of_latitude_is_sixty_nautical_miles():
    """A nautical mile of 1852 m was made to be a minute of latitude; a mile has 1609.344 m."""
    assert miles_apart((44, 7), (45, 7)) == pytest.approx(60 * 1852 / 1609.344, rel=0.002)


def test_pole_to_pole_is_half_way_round():
    assert miles_apart((90, 0), (-90, 33)) == pytest.approx(pi * MEAN_EARTH_RADIUS_MI)


def test_the_date_line_is_crossed():
    assert miles_apart((0, 179.5), (0, -179.5)) == pytest.approx(miles_apart((0, 0), (0, 1)))


@given(PLACES, PLACES)
def test_there_and_back_are_as_far(one, other):
    assert miles_apart(one, other) == pytest.approx(miles_apart(other, one), abs=1e-9)


@given(PLACES)
def test_a_place_is_nowhere_from_itself(place):
    assert miles_apart(place, place) == 0


@given(PLACES, PLACES, PLACES)
def test_a_detour_is_never_shorter(one, by, other):
    way_round = miles_apart(one, by) + miles_apart(by, other)
    assert miles_apart(one, other) <= way_round + 1e-3


@pytest.mark.parametrize(
    ("place", "named"),
    [((91, 0), "Latitude 91"), ((0, -181), "Longitude -181"), ((float("nan"), 0), "Latitude nan")],
)
def test_a_place_off_the_map_is_named(place, named):
    with pytest.raises(ValueError, match=named):
        miles_apart((0, 0), place)
    with pytest.raises(ValueError, match=named):
        miles_apart(place, (0, 0))


@pytest.mark.parametrize(
    ("miles", "minutes"),
    [
        (0, 0),
        (0.001, 1),
        (1, 3),
        (5, 16),
        (Fraction(25, 13), 6),
        (Fraction(625, 78), 25),
        (100, 312),
    ],
)
def test_minutes_by_road(miles, minutes):
    """By hand: 1.3 x miles at 25 miles an hour are 3.12 minutes a mile; common practice."""
    assert minutes_apart(miles) == minutes


def test_half_a_minute_is_rounded_up():
    assert minutes_apart(Fraction(25, 78) * Fraction(5, 2)) == 3


@pytest.mark.parametrize("miles", [-1, float("nan"), float("inf")])
def test_what_is_no_distance_is_refused(miles):
    with pytest.raises(ValueError, match="not a distance"):
        minutes_apart(miles)
